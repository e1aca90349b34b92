export const chromiumPath: string | undefined;
export const launching: { readonly executablePath?: string; readonly args: string[] };
