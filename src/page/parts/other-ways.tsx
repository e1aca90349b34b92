import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import type { OpenFind } from '../model/find.js';

/** Other ways to go through a key than couplet by couplet. */
export function OtherWays({ open }: { open: OpenFind }) {
  return (
    <p class="other-ways">
      <a href={hashOf({ screen: 'sheet', find: open.id })}>{say.anyOrder}</a>{' '}
      <a href={hashOf({ screen: 'picture' })}>{say.picture}</a>
    </p>
  );
}
