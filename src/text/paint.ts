/** The few ways in which text may stand out. Nothing is ever said by them alone. */
export interface Paint {
  /** What the eye should find first. */
  strong(text: string): string;
  /** What may be passed over. */
  faint(text: string): string;
  /** What must not be passed over. */
  alarm(text: string): string;
}

/** No colours at all. */
export const PLAIN: Paint = { strong: (t) => t, faint: (t) => t, alarm: (t) => t };
