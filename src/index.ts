/**
 * keywright as a library: keys from text, determinations of finds, and the work of authors, over texts and plain data.
 * Nothing here touches files, terminal or clock; chained keys and shared terms come from a `Shelf` that the caller gives.
 * `keywright/node` opens keys, shelves and archives on the disk.
 *
 * ```ts
 * import { analyse, identify, loadKey } from 'keywright';
 *
 * const { key, findings } = loadKey(text, { file: 'my.key.yaml' });
 * if (key === undefined) throw new Error(findings.map((f) => f.message).join('\n'));
 * for (const { id, found, findings } of identify(key, [{ id: 'A1', traits: { ring: 'present' } }])) {
 *   if (found === undefined) console.error(id, findings);
 *   else console.log(id, found.name, found.qualifier, found.verdict.word, analyse(found).next.looks);
 * }
 * ```
 *
 * Functions take what they work on, and then one object of options. `examples/library.mjs` is a whole program. Nothing here
 * says that a find may be eaten; show the cautions of README wherever you show a verdict.
 */

export type { Strength } from './analysis/decision.js';
export type { RelativeFit } from './analysis/fit.js';
export type { AnalysisOptions, Criterion } from './analysis/next-characters.js';
export type { Preference } from './commands/draft/draft.js';
export type { ReadAs } from './commands/import/draft.js';
export type { Imported, ImportedKey, Layout } from './commands/import/print.js';
export type { KnownWord } from './commands/test/known.js';
export type {
  Confusion,
  CoverageData,
  KnownRow,
  RowTaxon,
  RowWord,
  UntestedTaxon,
  WayLeft,
} from './commands/test/rows.js';
export { Failure, type FailureOptions } from './diagnostic/failure.js';
export type { Edit, Finding, Fix, Level, Path, Place, Position, Related } from './diagnostic/finding.js';
export type { DetermineOptions } from './engine/determine.js';
export type { EndPoint, Undecided, Verdict, Warning } from './engine/outcome.js';
export type { Concern, ConcernLevel, Duty } from './key/key.js';
export type { Found, Shelf } from './key/load.js';
export {
  type Astray,
  type CharacterChange,
  type ConditionChanges,
  type DescriptionChange,
  type Drafted,
  type DraftOptions,
  diffKeys,
  draftKey,
  type ImportOptions,
  importKeys,
  type KeyChanges,
  type Linted,
  type LintOptions,
  lintKey,
  type MovedFinds,
  type PathChange,
  type ScopeChange,
  type TaxonChange,
  type TermsText,
  type Trimmed,
  type TrimOptions,
  trimKey,
  type UnclearName,
  type UnknownName,
} from './library/authoring.js';
export { type ArchiveOptions, archiveOf } from './library/darwin-core.js';
export {
  type Agreement,
  analyse,
  asResult,
  type Candidate,
  compare,
  type Determination,
  type FurtherTaxon,
  type KeyLacks,
  type KeyParting,
  type OpenSpecimen,
  type OtherName,
  type ResultOptions,
} from './library/determination.js';
export {
  type ArchiveFiles,
  type FindData,
  type FindSpecimen,
  type Identified,
  type IdentifyOptions,
  identify,
  identifyArchive,
  identifyTable,
  type TableOptions,
  type TraitData,
} from './library/finds.js';
export {
  type Character,
  type Couplet,
  type Key,
  type Lead,
  type Loaded,
  loadKey,
  type Taxon,
  type TextOptions,
} from './library/key.js';
export { type Tested, type TestOptions, testKey } from './library/known.js';
export {
  appendRecord,
  type ReadRecord,
  type RecordOptions,
  type Redone,
  type RedoOptions,
  readRecord,
  redoRecord,
  type WriteRecordOptions,
  writeRecord,
} from './library/records.js';
export type { AllowedFinding, NotRun } from './lint/lint.js';
export type { Setting } from './lint/settings.js';
export type { DroppedAnswer, RecordedAnswer } from './record/answers.js';
export type { RecordedLead } from './record/carry.js';
export type {
  AlteredTaxon,
  BeforeAfter,
  Changes,
  EvidenceChange,
  NamedCandidate,
  PathDivergence,
  TaxaChange,
} from './record/changes.js';
export type { LeadWords } from './record/couplet-words.js';
export type { RecordedFind } from './record/find.js';
export type { KeyMark } from './record/key-mark.js';
export type { RecordedTrait } from './record/trait.js';
export type {
  FindRecord,
  RecordedCandidate,
  RecordedDetermination,
  RecordedFurther,
  RecordedLeadTaken,
  RecordedNear,
  RecordedResult,
  RecordedStep,
  RecordedTaxon,
  RecordedVerdict,
  UnansweredNote,
} from './record/write.js';
export type { ArchiveTexts } from './tables/dwc/data-rows.js';
export type { TextFormat } from './tables/format.js';
export type { State } from './traits/character.js';
export type { Photograph } from './traits/collection.js';
export type { Reworded } from './versions/diff.js';
export type {
  AnalysisData,
  ConflictData,
  DecisionData,
  DoubtData,
  DoubtEndData,
  FitData,
  LookAlikeData,
  LookData,
  LookOutcome,
  MemberData,
  NextData,
  RelianceData,
  RuledOutData,
  ShownData,
  SpecimenData,
  SpecimenSetData,
  SpecimensData,
  TaxonData,
  TwoSlipsData,
  TwoSlipsTaxonData,
} from './words/analysis-data.js';
export type {
  Result,
  ResultCandidate,
  ResultFurther,
  ResultNear,
  ResultOpenSpecimen,
  ResultWarning,
} from './words/results.js';
