import type { Finding, Path, Place } from '../diagnostic/finding.js';
import { type Data, type DataMap, readYaml, type YamlText } from '../key/document.js';
import { asList, asMap, asText, asTexts, Reporter } from '../key/fields.js';
import type { ConcernLevel } from '../key/key.js';
import { checkShape } from '../key/load.js';
import { validateRecord } from '../key/validate.generated.js';
import { quoted } from '../text/harmless.js';
import { defined, filled } from '../text/optional.js';
import type { Photograph } from '../traits/collection.js';
import type { DroppedAnswer, RecordedAnswer } from './answers.js';
import type { RecordedLead } from './carry.js';
import type { LeadWords } from './couplet-words.js';
import { DETAILS, type RecordedFind } from './find.js';
import type { KeyMark } from './key-mark.js';
import type { RecordedTrait } from './trait.js';
import {
  type FindRecord,
  RECORD_END,
  RECORD_FORMAT,
  type RecordedDetermination,
  type RecordedResult,
  type RecordedTaxon,
  type RecordFrame,
  type UnansweredNote,
  writeRecord,
} from './write.js';

/** A record that was read, or why it could not be. */
export type ReadRecord =
  | {
      readonly ok: true;
      readonly record: FindRecord;
      /** Where something stands in the text. */
      place(path: Path): Place;
      /** The text around a further determination, or around the last one when that is to be rewritten. */
      frame(which: 'further' | 'last'): RecordFrame;
    }
  /** `kind`: the text is no record at all, or one that is damaged or of a later format. */
  | {
      readonly ok: false;
      readonly kind: 'other' | 'damaged';
      /** The first thing that is wrong, with its place. */
      readonly problem: string;
      /** All that is wrong, one line each. */
      readonly problems: readonly string[];
      /** The same as findings. */
      readonly findings: readonly Finding[];
    };

/** How a record is read: what parses its text, and what finds whether all of it is as records are. */
export interface RecordReader {
  readonly parse: (text: string, file: string) => YamlText;
  /** Reports what is not as a record has it; `record` is what would be taken of it. */
  readonly check: (yaml: YamlText, report: Reporter, record: FindRecord) => void;
}

/** Reads any YAML, and checks it against the schema. */
const BY_SCHEMA: RecordReader = {
  parse: readYaml,
  check: (yaml, report) => checkShape(yaml, validateRecord, 'record', report),
};

/** Reads a record. Never throws for what the text contains, and never takes half a record for a whole one. */
export function readRecord(text: string, file: string): ReadRecord {
  return recordIn(text, file, BY_SCHEMA);
}

/** The same with another reader. */
export function recordIn(text: string, file: string, reader: RecordReader): ReadRecord {
  const yaml = reader.parse(text, file);
  const looksOurs = /^keywright-record:/m.test(text);
  const first = yaml.findings[0];
  if (first !== undefined || yaml.data === undefined) {
    if (!looksOurs) return notARecord(yaml);
    const newer = newerFormat(/^keywright-record:[ \t]*(\S+)/m.exec(text)?.[1], yaml);
    if (newer !== undefined) return newer;
    const message = `the record is cut short or damaged: ${(first?.message ?? '').replace(/\.$/, '')}`;
    return damaged(mistake(message, first?.place ?? yaml.place([])));
  }
  const data = asMap(yaml.data);
  if (data['keywright-record'] === undefined) return notARecord(yaml);
  const newer = newerFormat(data['keywright-record'], yaml);
  if (newer !== undefined) return newer;
  const end = endOf(yaml.lines.text);
  if (end === undefined) {
    const last = yaml.lines.at(yaml.lines.text.trimEnd().length);
    return damaged(
      mistake(`the record is cut short here: the line "${RECORD_END}" at its end is missing`, {
        file,
        path: [],
        start: last,
        end: last,
      }),
    );
  }
  const report = new Reporter(yaml);
  const record = recordOf(data);
  reader.check(yaml, report, record);
  checkResults(data, report);
  if (report.findings.length > 0) return damaged(...report.findings);
  return {
    ok: true,
    record,
    place: (path) => yaml.place(path),
    frame: (which) => frameOf(yaml, text, end, record, which, reader),
  };
}

/** What makes a text no whole record. */
function mistake(message: string, place: Place): Finding {
  return { rule: 'record-whole', level: 'error', message, place };
}

function damaged(...findings: readonly Finding[]): ReadRecord {
  const problems = findings.map(
    ({ message, place: { file, start } }) => `${file}:${start.line}:${start.column}: ${message}`,
  );
  return { ok: false, kind: 'damaged', problem: problems[0] ?? '', problems, findings };
}

/** A text of which no place is wrong. */
function refused(kind: 'other' | 'damaged', message: string, yaml: YamlText): ReadRecord {
  const problem = `${yaml.file} ${message}`;
  const findings = [mistake(`this ${message}`, yaml.place([]))];
  return { ok: false, kind, problem, problems: [problem], findings };
}

function notARecord(yaml: YamlText): ReadRecord {
  return refused('other', 'is not a record of keywright', yaml);
}

function newerFormat(data: Data | undefined, yaml: YamlText): ReadRecord | undefined {
  const format = typeof data === 'object' ? 'a list' : String(data);
  if (format === RECORD_FORMAT) return undefined;
  const message =
    Number(format) > Number(RECORD_FORMAT)
      ? `was written by a newer keywright: it is a record of format ${quoted(format)}, and this version reads format ${RECORD_FORMAT}`
      : `is a record of format ${quoted(format)}; this version of keywright reads format ${RECORD_FORMAT}`;
  return refused('damaged', message, yaml);
}

/** Where the line stands that ends a whole record; only comments may follow it. */
function endOf(text: string): number | undefined {
  const end = /(?:^|\n)(\.\.\.)[ \t]*\r?(?:\n(?:[ \t]*(?:#[^\n]*)?\r?(?:\n|$))*)?$/.exec(text);
  return end === null ? undefined : end.index + end[0].indexOf(RECORD_END);
}

/** What the schema cannot check: that a finished determination has a result. */
function checkResults(data: DataMap, report: Reporter): void {
  asList(data.determinations).forEach((item, i) => {
    const { status, result } = asMap(item);
    if (status === 'finished' && result === undefined)
      report.add(
        'property-needed',
        `Determination ${i + 1} is finished, but the lines "result:" are missing`,
        ['determinations', i, 'status'],
        { found: 'finished', expected: 'result' },
      );
  });
}

/**
 * The text around the place of a determination. Throws a RangeError when the text is laid out so that nothing can be
 * put in without touching the rest.
 */
function frameOf(
  yaml: YamlText,
  text: string,
  end: number,
  { collection, determinations }: FindRecord,
  which: 'further' | 'last',
  reader: RecordReader,
): RecordFrame {
  const { lines } = yaml;
  // Places do not count a byte order mark.
  const skipped = text.length - lines.text.length;
  let at = end;
  if (which === 'last') {
    const { line } = yaml.place(['determinations', determinations.length - 1]).start;
    at = lines.start(line);
  }
  const frame = { before: text.slice(0, at + skipped), after: text.slice(end + skipped), collection };
  const kept = which === 'last' ? determinations.slice(0, -1) : determinations;
  const added = writeRecord(frame, determinations[determinations.length - 1] as never);
  const probe = recordIn(added, yaml.file, reader);
  const same = probe.ok && JSON.stringify(probe.record.determinations.slice(0, -1)) === JSON.stringify(kept);
  if (!same)
    throw new RangeError(
      `${yaml.file} is laid out in another way than keywright writes it, so nothing can be added to it`,
    );
  return frame;
}

function recordOf(data: DataMap): FindRecord {
  const top = detailsOf(asMap(data.collection));
  const collection = { id: asText(asMap(data.collection).id) ?? '', ...top };
  return {
    collection,
    determinations: asList(data.determinations).map((d) => determinationOf(asMap(d), collection)),
  };
}

function detailsOf(data: DataMap): Partial<RecordedFind> {
  const photographs = asList(data.photographs).map((item): Photograph => {
    const file = asText(item);
    const own = asMap(item);
    if (file !== undefined) return { file };
    const known = {
      ...optional(own, 'specimen'),
      ...optional(own, 'caption'),
      ...optional(own, 'date'),
    };
    return { file: asText(own.file) ?? '', ...known };
  });
  return {
    ...Object.fromEntries(DETAILS.flatMap((p) => (asText(data[p]) === undefined ? [] : [[p, data[p]]]))),
    ...(photographs.length === 0 ? {} : { photographs }),
  };
}

function determinationOf(data: DataMap, top: RecordedFind): RecordedDetermination {
  const begunWith = asList(data['begun-with']).map((m) => markOf(asMap(m)));
  const dropped = asList(data.dropped).map(
    (d): DroppedAnswer => ({ ...answerOf(asMap(d)), why: asText(asMap(d).why) ?? '' }),
  );
  const notes = asList(data.notes).map((n): UnansweredNote => {
    const own = asMap(n);
    return { couplet: asText(own.couplet) ?? '', ...optional(own, 'note'), ...optional(own, 'doubt') };
  });
  const unread = asTexts(data['not-understood']);
  const otherwise = asTexts(data['means-otherwise']);
  const redone = asText(data['redone-from']);
  return {
    program: asText(data.program) ?? '',
    ...optional(data, 'by'),
    key: markOf(asMap(data.key)),
    ...filled({ begunWith }),
    ...defined({ redoneFrom: redone === undefined ? undefined : Number(redone) }),
    started: asText(data.started) ?? '',
    ...optional(data, 'ended'),
    collection: findOf(asMap(data.find), top),
    answers: asList(data.answers).map((a) => answerOf(asMap(a))),
    ...filled({ dropped, unread, otherwise, notes }),
    ...optional(data, 'note'),
    possible: asTexts(data.possible),
    ...defined({ result: data.result === undefined ? undefined : resultOf(asMap(data.result)) }),
    status: asText(data.status) === 'finished' ? 'finished' : 'open',
  };
}

function findOf(data: DataMap, top: RecordedFind): RecordedFind {
  const evidence = asList(data.evidence).map(traitOf);
  const leads = asList(data.leads).map((l) => givenOf(asMap(l)));
  const stages = asTexts(data.stages);
  return {
    ...top,
    ...detailsOf(data),
    ...filled({ stages, evidence, leads }),
  };
}

function traitOf(data: Data): RecordedTrait {
  const own = asMap(data);
  return {
    character: asText(own.character) ?? '',
    shows: asText(own.shows) ?? '',
    ...optional(own, 'means'),
    ...optional(own, 'only'),
    ...optional(own, 'specimen'),
    ...optional(own, 'stage'),
    ...(own.doubted === true ? { doubted: true } : {}),
  };
}

function givenOf(data: DataMap): RecordedLead {
  const beside = asList(data.beside).map((item): LeadWords => {
    const own = asMap(item);
    return {
      lead: asText(own.lead) ?? '',
      says: asText(own.says) ?? '',
      ...optional(own, 'when'),
      ...optional(own, 'means'),
    };
  });
  return {
    couplet: asText(data.couplet) ?? '',
    lead: asText(data.lead) ?? '?',
    says: asTexts(data.says),
    ...optional(data, 'when'),
    ...optional(data, 'means'),
    ...filled({ beside }),
    ...defined({ counts: data.counts === undefined ? undefined : 'evidence' }),
    ...(data.doubted === true ? { doubted: true } : {}),
    ...optional(data, 'specimen'),
    ...optional(data, 'stage'),
  };
}

function answerOf(data: DataMap): RecordedAnswer {
  const { counts, doubted: _, ...given } = givenOf(data);
  const shows = asList(data.shows).map(traitOf);
  return {
    ...given,
    ...(shows.length === 0 ? {} : { shows }),
    at: asText(data.at) ?? '',
    ...optional(data, 'doubt'),
    ...optional(data, 'note'),
    ...optional(data, 'from'),
    ...defined({ counts }),
  };
}

function markOf(data: DataMap): KeyMark {
  const through = asTexts(data.through);
  const contents = Object.entries(asMap(data.contents)).map(([id, mark]) => [id, asText(mark) ?? '']);
  return {
    id: asText(data.id) ?? '',
    version: asText(data.version) ?? '',
    title: asText(data.title) ?? '',
    ...filled({ through }),
    ...defined({ contents: contents.length === 0 ? undefined : Object.fromEntries(contents) }),
    hash: asText(data.hash) ?? '',
  };
}

function resultOf(data: DataMap): RecordedResult {
  const { word, worst, settled } = asMap(data.verdict);
  const near = asList(data.near).map((n) => ({
    ...taxonOf(asMap(n)),
    recheck: asTexts(asMap(n).recheck),
  }));
  const further = asList(data.further).map((f) => {
    const own = asMap(f);
    const [doubted, specimens] = [asTexts(own.doubted), asTexts(own.specimens)];
    return {
      ...taxonOf(own),
      ...(doubted.length === 0 ? {} : { doubted }),
      ...(specimens.length === 0 ? {} : { specimens }),
    };
  });
  const open = asTexts(data.open);
  const warnings = asTexts(data.warnings);
  return {
    ...optional(data, 'name'),
    ...optional(data, 'qualifier'),
    verdict: {
      word: word === 'leave it' ? 'leave it' : 'not cleared',
      worst: (asText(worst) ?? 'unknown') as ConcernLevel,
      settled: settled === true,
    },
    candidates: asList(data.candidates).map((item) => {
      const own = asMap(item);
      const leads = Number(asText(own.open) ?? 0);
      return { ...taxonOf(own), path: asTexts(own.path), ...defined({ open: leads || undefined }) };
    }),
    ...filled({ further, near, open, warnings }),
    way: asList(data.way).map((item) => {
      const own = asMap(item);
      return {
        couplet: asText(own.couplet) ?? '',
        mark: asText(own.mark) ?? '',
        decided: asText(own.decided) as 'answer' | 'evidence' | 'open',
        going: asList(own.going).map((g) => {
          const lead = asMap(g);
          const ends = asTexts(lead.ends);
          return {
            lead: asText(lead.lead) ?? '',
            says: asText(lead.says) ?? '',
            ...optional(lead, 'to'),
            ...filled({ ends }),
          };
        }),
      };
    }),
  };
}

function taxonOf(data: DataMap): RecordedTaxon {
  const [synonyms, common] = [asTexts(data.synonyms), asTexts(data.common)];
  return {
    taxon: asText(data.taxon) ?? '',
    name: asText(data.name) ?? '',
    ...filled({ synonyms, common }),
    concern: (asText(data.concern) ?? 'unknown') as ConcernLevel,
    ...optional(data, 'effect'),
    ...optional(data, 'onset'),
  };
}

function optional<N extends string>(data: DataMap, name: N): { [K in N]?: string } {
  const text = asText(data[name]);
  return defined({ [name]: text }) as { [K in N]?: string };
}
