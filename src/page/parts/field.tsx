import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';

/** A line to be filled in, kept when it is left. What is wrong stays in it, to be mended. */
export function Field({
  id,
  label,
  known,
  problem,
  inputMode,
  keep,
  children,
}: {
  id: string;
  label: string;
  known: string;
  problem?: string | undefined;
  inputMode?: 'numeric' | 'decimal';
  /** Takes what was written, and may put something else into the field. */
  keep: (text: string, field: HTMLInputElement) => void;
  children?: ComponentChildren;
}) {
  const field = useRef<HTMLInputElement>(null);
  // Only what is known anew is written over what stands there.
  useLayoutEffect(() => {
    if (field.current !== null) field.current.value = known;
  }, [known]);
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        ref={field}
        inputMode={inputMode}
        autocomplete="off"
        aria-invalid={problem !== undefined}
        aria-describedby={problem === undefined ? undefined : `${id}-problem`}
        onChange={({ currentTarget }) => keep(currentTarget.value.replace(/\s+/g, ' ').trim(), currentTarget)}
      />
      {children}
      {problem === undefined ? null : (
        <p class="reason" id={`${id}-problem`} role="alert">
          {harmless(problem)}
        </p>
      )}
    </div>
  );
}
