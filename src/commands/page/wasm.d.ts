/** Bytes of WebAssembly, as the build takes them. */
declare module '*.wasm' {
  const bytes: Uint8Array<ArrayBuffer>;
  // biome-ignore lint/style/noDefaultExport: loaders give what a file holds as the default export.
  export default bytes;
}
