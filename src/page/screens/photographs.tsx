import { useContext, useEffect, useState } from 'preact/hooks';
import type { Photograph } from '../../traits/collection.js';
import { messages as say } from '../messages.js';
import type { OpenFind } from '../model/find.js';
import { Page } from '../parts/page.js';
import { PickFile } from '../parts/pick-file.js';
import { scaledDown } from '../pictures.js';

/** The photographs of a find, kept on the device beside it. */
export function Photographs({ open }: { open: OpenFind }) {
  const app = useContext(Page);
  const { photographs = [] } = open.keying.collection;
  const { specimen } = open.keying.readFrom;
  const take = async (file: File) => {
    const picture = await scaledDown(file);
    if (picture === undefined) app.tell(say.photographFailed);
    else await app.keepPhotograph(picture);
  };
  return (
    <section>
      <h2>{say.photographs}</h2>
      <div class="figures">
        {photographs.map((photograph) => (
          <Picture key={photograph.file} find={open.id} photograph={photograph} />
        ))}
      </div>
      <PickFile
        accept="image/*"
        capture="environment"
        words={`${say.takePhotograph} ${say.photographOf(specimen)}`}
        take={take}
      />
    </section>
  );
}

function Picture({ find, photograph }: { find: string; photograph: Photograph }) {
  const app = useContext(Page);
  const { file, specimen } = photograph;
  const [source, setSource] = useState<string | undefined>();
  useEffect(() => {
    let address: string | undefined;
    void app.store
      .then((store) => store.photograph(find, file))
      .then((picture) => {
        if (picture === undefined) return;
        address = URL.createObjectURL(picture);
        setSource(address);
      });
    return () => {
      if (address !== undefined) URL.revokeObjectURL(address);
    };
  }, [app, find, file]);
  const words = `${file}, ${say.photographOf(specimen)}`;
  return (
    <figure>
      {source === undefined ? null : <img src={source} alt={words} />}
      <figcaption>
        {words}
        <button
          type="button"
          class="plain small"
          onClick={() => app.act({ kind: 'without-photograph', file })}
        >
          {say.remove}
        </button>
      </figcaption>
    </figure>
  );
}
