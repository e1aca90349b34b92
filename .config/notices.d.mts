/** What esbuild says of its outputs, as far as it is read here. */
export interface Metafile {
  readonly outputs: Readonly<
    Record<string, { readonly inputs: Readonly<Record<string, { readonly bytesInOutput: number }>> }>
  >;
}

export function packagesOf(metafile: Metafile): string[];
export function noticesText(folders: readonly string[]): string;
