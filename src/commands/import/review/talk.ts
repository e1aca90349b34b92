/** What a review says, whoever answers: by keys at a terminal, or line by line. */
import type { World } from '../../../terminal/world.js';
import { harmless } from '../../../text/harmless.js';
import type { Paint } from '../../../text/paint.js';
import { count } from '../../../text/words.js';
import { textWidth, wrapLines } from '../../../text/wrap.js';
import type { Decided, ReviewSession } from './session.js';
import { coupletView, type PrintBeside, type ViewStyle } from './view.js';

/** Says on stderr what happens in a review. */
export class ReviewTalk {
  constructor(
    readonly session: ReviewSession,
    readonly beside: PrintBeside,
    readonly world: World,
    readonly paint: Paint,
  ) {}

  /** Read each time: windows change size. */
  get style(): ViewStyle {
    return { width: textWidth(this.world.columns('stderr')), paint: this.paint };
  }

  lines(lines: readonly string[]): void {
    if (lines.length > 0) this.world.stderr.write(`${lines.join('\n')}\n`);
  }

  say(text: string, first = '', rest = '  '): void {
    this.lines(this.wrapped(text, first, rest));
  }

  wrapped(text: string, first = '', rest = '  '): string[] {
    return wrapLines(harmless(text), this.style.width, first, rest);
  }

  /** The key, and how much there is to look at. */
  opening(): void {
    const { session } = this;
    this.lines(wrapLines(this.paint.strong(harmless(session.now.key.title)), this.style.width, '', '  '));
    const { text } = session.left();
    this.say(
      session.size === 0
        ? `${session.shown}: nothing is left to review`
        : `${session.shown}: ${count(session.size, 'couplet')} to look at: ${text}`,
    );
  }

  /** The couplet, as it stands now; where there is little room, without the lines of the print beside it. */
  couplet(room = Number.POSITIVE_INFINITY): string[] {
    const { session, beside, style } = this;
    const { couplet } = session;
    if (couplet === undefined) return [];
    const whole = coupletView(session.now, couplet, beside, session.progress, style);
    if (whole.length <= room) return whole;
    return coupletView(session.now, couplet, beside, session.progress, style, false);
  }

  /** The account at the end: what was done, what is left and how to go on. */
  account(again: string): void {
    const { session } = this;
    const left = session.left();
    const done = session.reviewed === 0 ? '' : `${count(session.reviewed, 'couplet')} reviewed, `;
    this.say(
      left.count === 0
        ? `keywright: ${session.shown}: ${done}nothing is left to review`
        : `keywright: ${session.shown}: ${done}${left.count} left: ${left.text}`,
    );
    const [other] = session.now.faultsElsewhere;
    if (other !== undefined)
      this.say(
        `keywright: ${count(session.now.faultsElsewhere.length, 'error')} elsewhere in the key, the first in line ${other.place.start.line}: ${other.message}`,
      );
    // A command is never broken over lines: it is there to be copied.
    if (left.count > 0) this.lines([`go on with: ${harmless(again)}`]);
  }
}

/** What is said of a decision that was not made; undefined when it was. */
export function refusal(decided: Decided): string | undefined {
  if (decided.kind === 'refused') return decided.problem;
  return decided.kind === 'read anew'
    ? 'The file was changed by somebody else: this is what it holds now. Decide once more.'
    : undefined;
}
