import type { BuildResult, Metafile } from 'esbuild';

export function browserScript(entry: string): Promise<BuildResult<{ write: false }>>;
export function buildPage(): Promise<Metafile[]>;
