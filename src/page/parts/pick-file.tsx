import { useRef } from 'preact/hooks';

/** A button that asks for a file of the device, or for one that the camera takes. */
export function PickFile({
  id,
  accept,
  capture,
  words,
  take,
}: {
  id?: string;
  accept: string;
  capture?: 'environment';
  words: string;
  take: (file: File) => Promise<void>;
}) {
  const field = useRef<HTMLInputElement>(null);
  const picked = async () => {
    const file = field.current?.files?.[0];
    if (file === undefined) return;
    await take(file);
    // The same file may be picked again.
    if (field.current !== null) field.current.value = '';
  };
  return (
    <>
      <input
        ref={field}
        id={id}
        class="visually-hidden"
        type="file"
        accept={accept}
        capture={capture}
        tabIndex={-1}
        aria-hidden="true"
        onChange={() => void picked()}
      />
      <button type="button" class="plain" onClick={() => field.current?.click()}>
        {words}
      </button>
    </>
  );
}
