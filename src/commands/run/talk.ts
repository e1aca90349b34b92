import { scopeWarnings } from '../../engine/scope.js';
import type { SessionState } from '../../engine/session.js';
import type { Key } from '../../key/key.js';
import type { RecordedAnswer } from '../../record/answers.js';
import type { Keying } from '../../record/keying.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { count, listed } from '../../text/words.js';
import { displayWidth, textWidth, truncate, wrapLines } from '../../text/wrap.js';
import {
  coupletLines,
  coupletName,
  decidedText,
  type LineStyle,
  settledText,
  statusText,
} from '../../words/couplet.js';

/** What the program says on stderr while a key is run. */
export class Talk {
  #before: SessionState | undefined;
  /** The keys of the chain that were named already. */
  readonly #named = new Set<Key>();

  constructor(
    readonly keying: Keying,
    readonly world: World,
    readonly paint: Paint,
    /** How to stop with a result: `press S`. */
    readonly stop: string,
  ) {}

  /** Read each time: windows change size. */
  get setting(): LineStyle {
    return { width: textWidth(this.world.columns('stderr')), paint: this.paint };
  }

  lines(lines: readonly string[]): void {
    if (lines.length > 0) this.world.stderr.write(`${lines.join('\n')}\n`);
  }

  /** A paragraph, with further lines of it indented. */
  say(text: string, first = '', rest = first === '' ? '' : undefined): void {
    this.lines(wrapLines(text, this.setting.width, first, rest));
  }

  /** The key, what it is for, and the find. */
  opening(): void {
    const { main } = this.keying.key.chain;
    const { group, regions, note } = main.scope;
    const { collection } = this.keying;
    this.#named.add(main);
    this.say(this.paint.strong(harmless(main.title)));
    const where = regions.length === 0 ? '' : ` Regions: ${regions.join(', ')}.`;
    if (group !== undefined || where !== '')
      this.say(harmless(`${group === undefined ? '' : `For ${group}.`}${where}`.trim()));
    for (const text of [main.note, note]) if (text !== undefined) this.say(harmless(text));
    const seen = collection.observations.filter((o) => o.value !== undefined).length;
    const known = seen === 0 ? '' : `, ${count(seen, 'observation')} recorded so far`;
    this.say(harmless(`Find: ${collection.id}${known}.`));
    this.#outside(main);
  }

  /** The answers so far, one line each. */
  path(): void {
    for (const answer of this.keying.answers) this.answered(answer);
  }

  /** An answer, as it stays on the screen: on one line, so that the way here can be seen at a glance. */
  answered(answer: RecordedAnswer): void {
    const couplet = this.keying.key.couplets[this.keying.key.coupletIndex.get(answer.couplet) ?? -1];
    const label = coupletName(answer.couplet) + answer.lead;
    const words =
      answer.lead === '?'
        ? `can't tell: ${listed(this.#following(answer.couplet))} go on`
        : (couplet?.leads.find((l) => l.lead.letter === answer.lead)?.lead.text ?? answer.says[0] ?? '');
    const room = this.setting.width - displayWidth(label) - 2;
    this.lines([`${this.paint.strong(label)}  ${truncate(harmless(words), room)}`]);
  }

  /** Says whether the find lies outside what a key is for, before anyone trusts its answers. */
  #outside(key: Key): void {
    for (const { message } of scopeWarnings(key, this.keying.collection))
      this.say(harmless(message), '! ', '  ');
  }

  /** The key that the couplet asked now stands in. */
  #keyOf({ ask }: SessionState): Key | undefined {
    return ask === undefined ? undefined : this.keying.key.chain.nodes[ask.couplet.index]?.key;
  }

  #following(couplet: string): readonly string[] {
    const open = this.keying.standing.open.find((o) => o.couplet.name === couplet);
    return open?.letters ?? ['all leads'];
  }

  /** What has become clear since this was last said: couplets decided by what is known, contradictions, the verdict. */
  news(): void {
    const { standing } = this.keying;
    const before = this.#before;
    this.#before = standing;
    const owner = this.#keyOf(standing);
    if (owner !== undefined && !this.#named.has(owner)) {
      this.#named.add(owner);
      this.say(harmless(`The key goes on in ${owner.id}: ${owner.title}`));
      this.#outside(owner);
    }
    const said = new Set(before?.decided.map(decidedText));
    for (const text of standing.decided.map(decidedText))
      if (!said.has(text)) this.say(text, this.paint.faint('   '), '     ');
    const warned = new Set(before?.warnings.map((w) => w.message));
    for (const { message } of standing.warnings)
      if (!warned.has(message)) this.say(harmless(message), '! ', '  ');
    if (standing.settled && before?.settled !== true) {
      this.say(this.paint.alarm(settledText(standing)));
      if (standing.ask !== undefined)
        this.say(`You may go on, or ${this.stop} to stop here with the result.`);
    }
  }

  /** The couplet that is asked now, and how things stand. */
  couplet(marked?: number): string[] {
    const { ask } = this.keying.standing;
    return ask === undefined ? [] : coupletLines(ask, this.keying.key, this.setting, marked);
  }

  /** How many taxa are possible; where several ways are followed, what to do when a couplet suits neither. */
  status(): string[] {
    const { standing } = this.keying;
    const { width } = this.setting;
    const lines = wrapLines(statusText(standing), width);
    const unsure = standing.open.filter((o) => o.unsure).map((o) => coupletName(o.couplet.name));
    if (unsure.length === 0 || standing.ask === undefined) return lines;
    return [
      ...lines,
      ...wrapLines(
        `Not told at ${listed(unsure)}: each way is asked in turn. Answer what you see; where no lead fits, answer ?.`,
        width,
      ),
    ];
  }
}
