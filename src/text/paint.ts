/** The few ways in which text may stand out. None of them ever carries meaning alone. */
export interface Paint {
  /** What the eye should find first. */
  strong(text: string): string;
  /** What may be skipped. */
  faint(text: string): string;
  /** What must not be overlooked. */
  alarm(text: string): string;
}

/** No colours at all. */
export const PLAIN: Paint = { strong: (t) => t, faint: (t) => t, alarm: (t) => t };
