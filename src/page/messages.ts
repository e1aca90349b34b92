import type { ConcernLevel } from '../key/key.js';
import { concernBriefly } from '../words/cautions.js';

/**
 * Every word of the page that is not the terminal's own (those stand in `src/words`) or its key's. Another language is
 * another object of this shape.
 */
export const messages = {
  begin: 'Key out a find',
  yourFinds: 'Your finds on this device',
  noFinds: 'None yet.',
  nothingLeaves: 'What you enter stays on this device until you share it.',
  takeIn: 'Take in a record',
  shareFinds: 'Hand out several finds',
  whichFinds: 'Which finds are handed out?',
  allFinds: (n: number) => `All ${n}`,
  oneArchive: 'They go into one archive (.zip), each with its record and its photographs.',
  saveArchive: 'Save as a file',
  shareArchive: 'Share',
  sharedAll: 'The finds were handed over.',
  archiveName: (day: string) => `finds-${day}`,
  aboutKey: 'About this key',
  whatItIsFor: 'What it is for',
  sources: 'Sources',
  keysOfChain: 'It continues in',
  made: (day: string, days: number) =>
    `This page was made on ${day}${days < 1 ? '' : `, ${agoInWords(days)}`}.`,
  old: 'Ask for a newer one: what is known of harm may have changed.',
  cautions: 'Cautions',
  poisonCentre: 'Poison centre',
  noCentre: 'Find out the number of your poison centre before you need it.',
  answersSoFar: (n: number) => (n === 1 ? '1 answer' : `${n} answers`),
  finished: 'result shown',
  remove: 'Remove',
  removeSure: (called: string) =>
    `Remove ${called} with its photographs from this device? It cannot be brought back unless you have shared it.`,
  cancel: 'Cancel',
  finds: 'Finds',
  couplet: (number: string) => `Couplet ${number}`,
  leadsTo: 'leads to',
  toCouplet: (number: string) => `couplet ${number}`,
  toKey: (name: string, at: string | undefined) => `key ${name}${at === undefined ? '' : `, couplet ${at}`}`,
  or: 'or',
  worstOf: (level: ConcernLevel) => `worst: ${concernBriefly(level)}`,
  besides: 'Besides answering',
  ruledOut: (why: string) => `ruled out: ${why}`,
  takeRuledOut: (letter: string) => `${letter} is ruled out. Tap it again to take it all the same.`,
  cantTell: 'Can’t tell',
  cantTellHelp: 'Every lead that is not ruled out goes on.',
  back: 'Back',
  doubt: 'Doubt',
  note: 'Note',
  result: 'Result',
  seeResult: 'Show the result',
  doubtAt: (number: string) => `Why are you not sure of ${number}?`,
  noteAt: (number: string) => `Note on ${number}`,
  noteOnFind: 'Note on the find',
  keep: 'Keep',
  inDoubt: 'In doubt',
  terms: 'Terms',
  howToLook: 'How to look',
  decidedAlready: (n: number) => `Decided by what is known: ${n === 1 ? '1 couplet' : `${n} couplets`}`,
  notTold: (couplets: string) => `Not told at ${couplets}: each way is asked in turn.`,
  nothingToAsk: 'Nothing more to ask',
  nothingToAskText: 'Every couplet on the way is answered, decided, or left open.',
  yourAnswers: 'Your answers',
  answerAgain: (number: string) => `Answer ${number} again`,
  couldNotTell: 'can’t tell',
  seenOn: 'Seen on',
  wholeFind: 'the whole find',
  specimen: (name: string) => `Specimen ${name}`,
  anotherSpecimen: 'Another specimen',
  itsAge: 'Its age',
  ageNotTold: 'not told',
  lookNow: 'Look now, before it fades',
  andMore: (n: number) => `${n} more`,
  waitsForHome: 'Waits until you are at home',
  takes: (name: string, wait: string) => `${name}: takes ${wait}`,
  slowHere: (what: string) =>
    `This takes its time: ${what}. Go on with “Can’t tell”, and answer it again at home.`,
  enlarge: (caption: string) => `Enlarge: ${caption}`,
  pictureBy: (name: string) => `Picture: ${name}`,
  pictureLeftOut: 'picture not in this page',
  close: 'Close',
  verdict: 'Verdict',
  settled: 'Whatever more you look at, the verdict stands.',
  possible: (n: number) => (n === 1 ? 'Possible' : `Possible, the worst of ${n} first`),
  moreOfIt: 'All that is known of it',
  goOnAnswering: 'Go on answering',
  share: 'Share the record',
  download: 'Save the record as a file',
  sharePictured: 'Share the record with its photographs',
  downloadPictured: 'Save the record with its photographs',
  shared: 'The record was handed over.',
  called: 'Called',
  detailWords: { date: 'Found on', place: 'Found at', by: 'Found by', habitat: 'Growing or living on' },
  here: 'Put in where I am',
  today: 'Put in today',
  noPlace: 'This device does not say where it is.',
  badDate: 'Not a date: write year-month-day, such as 2026-10-18.',
  anyOrder: 'In any order',
  sheetTitle: 'What it shows',
  sheetHelp: 'Enter what you see, in any order. A couplet that is decided by it is not asked.',
  coupletByCouplet: 'Couplet by couplet',
  lookNext: 'Look at next',
  nothingNext: 'No character of this key would tell more.',
  cannotTellShort: 'Looked, can’t tell',
  doesNotApply: 'Does not apply',
  measureIn: (unit: string) => (unit === '1' ? 'Measured, such as 4 or 3-5' : `In ${unit}, such as 4 or 3-5`),
  counted: 'Counted, such as 4 or 3-5',
  notAValue: (problem: string, expected: string) => `${problem}; expected ${expected}.`,
  byAnswer: (couplet: string, shows: string) => `by your answer ${couplet}: ${shows}`,
  on: (what: string, shows: string) => `${what}: ${shows}`,
  printSheet: 'Print the field sheet',
  fieldSheet: (keys: string) => `Field sheet: ${keys}`,
  specimensColumn: 'specimen',
  ageRow: (ages: string) => (ages === '' ? 'age' : `age (${ages})`),
  picture: 'Picture of the key',
  pictureAlt: (title: string, couplets: number) =>
    `The key “${title}” drawn as a tree of ${couplets} couplets, from left to right.`,
  youAreAt: (couplet: string) => `You are at couplet ${couplet}. What is outlined is your way there.`,
  larger: 'Larger',
  smaller: 'Smaller',
  photographs: 'Photographs',
  takePhotograph: 'Take a photograph',
  photographOf: (specimen: string | undefined) =>
    specimen === undefined ? 'of the whole find' : `of specimen ${specimen}`,
  photographFailed: 'This picture cannot be read; it was not kept.',
  recordOfOtherKey: (theirs: string, ours: string) =>
    `This is a record made with the key ${theirs}; this page holds ${ours}.`,
  takenIn: (n: number) => (n === 1 ? '1 find was taken in.' : `${n} finds were taken in.`),
  hereAlready: (finds: string, n: number) => `${finds} ${n === 1 ? 'is' : 'are'} here already.`,
  photographsMissing: (n: number) =>
    n === 1
      ? '1 photograph that is named did not come with it.'
      : `${n} photographs that are named did not come with it.`,
  noRecordInArchive: (name: string) => `${name} is an archive without the record of a find.`,
  notText: (name: string) => `${name} is not text in UTF-8, as records are.`,
  cannotBeRead: (name: string) => `${name} cannot be read.`,
  notTakenIn: (why: string) => `Not taken in: ${why}`,
  store: {
    none: 'This browser keeps nothing for this page. Share each record before you close it: else it is lost.',
    full: 'This device has no room left, so your last entries are not kept. Share the record now, or remove finds; it is tried again with every answer.',
    failed: (why: string) => `Your last entries could not be kept (${why}). Share the record now.`,
    unreadable: (why: string) =>
      `What this device keeps of this page cannot be read (${why}). It is left as it is; reload the page, and share each new record before you close it.`,
    changedElsewhere: 'This find was changed in another window. You see what stands there now.',
    keptApart: (called: string) =>
      `Another window changed this find at the same time. What you entered here is kept as ${called}.`,
    damaged: (called: string, why: string) =>
      `What is kept of ${called} is damaged and cannot be opened: ${why}. It is left as it is.`,
    rescue: 'Save what is there as a file',
    apart: (called: string) => `${called} (other window)`,
  },
  startFailed: 'This page cannot be opened here.',
  startFailedText:
    'It was damaged on its way, or this browser is older than 2023. Ask for the page again, or use a newer browser.',
};

/** `3 months ago`. */
function agoInWords(days: number): string {
  const [n, unit] =
    days < 60
      ? [days, 'day']
      : days < 730
        ? [Math.floor(days / 30.44), 'month']
        : [Math.floor(days / 365.25), 'year'];
  return `${n} ${unit}${n === 1 ? '' : 's'} ago`;
}
