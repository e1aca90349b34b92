import { delimiter, isAbsolute, join, resolve, sep } from 'node:path';

/** What of the outside says where keys are kept. */
export interface KeySurroundings {
  readonly cwd: string;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** The folder of the keys that ship with the program. */
  readonly keysThatShip?: string | undefined;
}

/**
 * The folders in which a key is looked for by its id after those that a person gave, the nearest first: `./keys`, the folders
 * of KEYWRIGHT_KEYS, the folder of the user's settings, and the keys that ship. Some may not be there.
 */
export function keyPlaces({ cwd, env, keysThatShip }: KeySurroundings): string[] {
  const named = (env.KEYWRIGHT_KEYS ?? '').split(delimiter).filter((folder) => folder.trim() !== '');
  const own = settingsFolder(env);
  return [
    join(cwd, 'keys'),
    ...named.map((folder) => resolve(cwd, folder)),
    ...(own === undefined ? [] : [join(own, 'keywright', 'keys')]),
    ...(keysThatShip === undefined ? [] : [keysThatShip]),
  ];
}

/** Where programs keep what is a user's own: by the XDG Base Directory Specification, or on Windows in %APPDATA%. */
function settingsFolder(env: KeySurroundings['env']): string | undefined {
  const { XDG_CONFIG_HOME: stated, HOME: home, APPDATA: roaming } = env;
  // A relative path is to be ignored, by the specification.
  if (stated !== undefined && isAbsolute(stated)) return stated;
  if (sep === '\\' && roaming) return roaming;
  return home ? join(home, '.config') : undefined;
}
