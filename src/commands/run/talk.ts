import { scopeWarnings } from '../../engine/scope.js';
import type { SessionState } from '../../engine/session.js';
import type { Key } from '../../key/key.js';
import type { RecordedAnswer } from '../../record/answers.js';
import type { Keying, ReadFrom } from '../../record/keying.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { count, listed } from '../../text/words.js';
import { displayWidth, textWidth, truncate, wrapLines } from '../../text/wrap.js';
import {
  coupletLines,
  decidedText,
  firstFitting,
  type LineStyle,
  leadLines,
  nameWithin,
  ownNumber,
  settledText,
  statusText,
} from '../../words/couplet.js';

/** What the program says on stderr while a key is run. */
export class Talk {
  #before: SessionState | undefined;
  /** The keys of the chain that were named already. */
  readonly #named = new Set<Key>();
  /** The key that was named last: couplets stand for its own unless another is named. */
  #at: Key | undefined;
  /** What the answer that was shown last was read from. */
  #seen = '';
  /** What was said of the find lying outside a key. */
  readonly #warned = new Set<string>();

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
    this.#at = main;
    this.say(this.paint.strong(harmless(main.title)));
    const where = regions.length === 0 ? '' : ` Regions: ${regions.join(', ')}.`;
    if (group !== undefined || where !== '')
      this.say(harmless(`${group === undefined ? '' : `For ${group}.`}${where}`.trim()));
    for (const text of [main.note, note]) if (text !== undefined) this.say(harmless(text));
    const seen = collection.observations.filter((o) => o.value !== undefined).length;
    const known = seen === 0 ? '' : `, ${count(seen, 'observation')} recorded so far`;
    this.say(harmless(`Find: ${collection.id}${known}.`));
  }

  /** Says whether the find lies outside what the key is for, as far as this was not said. */
  scope(): void {
    this.#outside(this.keying.key.chain.main);
  }

  /** The answers so far, one line each, with what was said of them. */
  path(): void {
    for (const answer of this.keying.answers) {
      this.answered(answer);
      this.#remarks(answer.couplet);
    }
  }

  /** What was noted where there is no answer, and of the find as a whole. */
  notes(): void {
    for (const couplet of this.keying.remarkedUnanswered) {
      this.say(`No answer yet at ${this.#name(couplet)}:`);
      this.#remarks(couplet);
    }
    const { findNote } = this.keying;
    if (findNote !== undefined) this.say(harmless(`Note on the find: ${findNote}`), '', '  ');
  }

  #remarks(couplet: string): void {
    const { doubt, note } = this.keying.remarksOn(couplet);
    if (doubt !== undefined) this.say(harmless(`in doubt: ${doubt}`), '    ', '      ');
    if (note !== undefined) this.say(harmless(`note: ${note}`), '    ', '      ');
  }

  /** An answer, as it stays on the screen: on one line, so that the way here can be seen at a glance. */
  answered(answer: RecordedAnswer): void {
    const couplet = this.keying.key.couplets[this.keying.key.coupletIndex.get(answer.couplet) ?? -1];
    if (couplet !== undefined) this.#enter(this.keying.key.chain.nodes[couplet.index]?.key);
    const label = `${ownNumber(answer.couplet)}${answer.lead}`;
    const words =
      answer.lead === '?'
        ? `can't tell: ${listed(this.#following(answer.couplet))} go on`
        : (couplet?.leads.find((l) => l.lead.letter === answer.lead)?.lead.text ?? answer.says[0] ?? '');
    const now = readFromText(answer);
    const from = now === this.#seen ? '' : now || 'the whole find';
    this.#seen = now;
    const room = this.setting.width - displayWidth(label) - 2 - (from === '' ? 0 : displayWidth(from) + 3);
    const read = from === '' ? '' : ` (${from})`;
    this.lines([`${this.paint.strong(label)}  ${truncate(harmless(words), room)}${read}`]);
  }

  /** An answer that was taken back. */
  takenBack({ couplet, lead }: RecordedAnswer): void {
    const { chain, coupletIndex } = this.keying.key;
    this.#enter(chain.nodes[coupletIndex.get(couplet) ?? -1]?.key);
    this.say(`Taken back: ${ownNumber(couplet)}${lead}`);
  }

  /** Says whether the find lies outside what a key is for, before anyone trusts its answers. */
  #outside(key: Key): void {
    for (const { message } of scopeWarnings(key, this.keying.collection)) {
      if (this.#warned.has(message)) continue;
      this.#warned.add(message);
      this.say(harmless(message), '! ', '  ');
    }
  }

  /** Says which key the couplets belong to from here on, on one line, where it is another than before. */
  #enter(key: Key | undefined): void {
    if (key === undefined || key === this.#at) return;
    this.#at = key;
    const { width } = this.setting;
    if (this.#named.has(key)) {
      this.lines([truncate(harmless(`Back in ${key.id}`), width)]);
      return;
    }
    this.#named.add(key);
    const title = harmless(`${key.id}: ${key.title}`);
    this.lines([firstFitting([`The key continues in ${title}`, `Now in ${title}`], width)]);
    this.#outside(key);
  }

  /** The name of a couplet, where the key that was named last is spoken of. */
  #name(couplet: string): string {
    return nameWithin(couplet, this.#at?.id ?? '', this.keying.key);
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
    this.#enter(this.#keyOf(standing));
    const decided = (state: SessionState | undefined) =>
      state?.decided.map((d) => decidedText(d, this.#at?.id ?? '', this.keying.key)) ?? [];
    const said = new Set(decided(before));
    for (const text of decided(standing))
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

  /** The couplet that is asked now; `brief` where there is little room. */
  couplet(marked?: number, brief = false): string[] {
    const { ask } = this.keying.standing;
    return ask === undefined ? [] : coupletLines(ask, this.keying.key, this.setting, marked, brief);
  }

  /** One lead of it. */
  lead(marked: number): string[] {
    const { ask } = this.keying.standing;
    return ask === undefined ? [] : leadLines(ask, marked, this.keying.key, this.setting, true, true);
  }

  /** How things stand, a line each: what is possible, what answers are read from, where it could not be told. */
  status(): string[] {
    const { standing, readFrom } = this.keying;
    const { width } = this.setting;
    const from = readFromText(readFrom);
    const unsure = standing.open.filter((o) => o.unsure).map((o) => this.#name(o.couplet.name));
    const each = 'each way is asked in turn';
    const some = unsure.length === 1 ? '1 couplet' : `${unsure.length} couplets`;
    return [
      statusText(standing, width),
      ...(from === '' ? [] : [truncate(`Seen now: ${from}`, width)]),
      ...(unsure.length === 0 || standing.ask === undefined
        ? []
        : [
            firstFitting(
              [
                `Not told at ${listed(unsure)}: ${each}`,
                `Not told at ${some}: ${each}`,
                `Not told at ${some}`,
              ],
              width,
            ),
          ]),
    ];
  }
}

/** What an answer is read from: `specimen b, young`; empty where nothing was said. */
export function readFromText({ specimen, stage }: ReadFrom): string {
  const parts = [specimen === undefined ? '' : `specimen ${specimen}`, stage ?? ''];
  return harmless(parts.filter((p) => p !== '').join(', '));
}
