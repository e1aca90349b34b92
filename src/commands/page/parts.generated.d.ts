/** What `.config/page.mjs` builds from `src/page`. */
export const parts: {
  /** The script that unpacks and starts the program. */
  readonly boot: string;
  /** The program, deflated and in base64. */
  readonly program: string;
  /** The SHA-256 of the program as it is started, in base64. */
  readonly programHash: string;
  /** The SHA-256 of the program before it was shortened and packed: while that is the same, so is the rest. */
  readonly source: string;
  readonly style: string;
};
