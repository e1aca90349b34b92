/** As much as is used of what every Node has; the declarations of Node 20 leave it out. */
declare namespace WebAssembly {
  type Imports = Readonly<Record<string, unknown>>;
  class Module {
    constructor(bytes: Uint8Array<ArrayBuffer>);
  }
  class Instance {
    constructor(module: Module, imports: Imports);
    readonly exports: object;
  }
}
