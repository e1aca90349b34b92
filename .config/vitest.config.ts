import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

const root = fileURLToPath(new URL('..', import.meta.url));

/** A caller's own settings would change what the program prints. */
for (const name of ['NO_COLOR', 'FORCE_COLOR', 'COLUMNS', 'LINES']) delete process.env[name];

/** Takes a Markdown file as its text, as the build does. */
const markdown = {
  name: 'markdown',
  transform: (text: string, id: string) =>
    id.endsWith('.md') ? `export default ${JSON.stringify(text)};` : undefined,
};

/** Takes WebAssembly as its bytes, as the build does. */
const wasm = {
  name: 'wasm',
  enforce: 'pre' as const,
  load: (id: string) =>
    id.endsWith('.wasm')
      ? `export default Uint8Array.from(Buffer.from('${readFileSync(id).toString('base64')}', 'base64'));`
      : undefined,
};

export default defineConfig({
  root,
  plugins: [markdown, wasm],
  test: {
    include: ['tests/**/*.test.ts'],
    environment: 'node',
    // What imports WebAssembly goes through the plugin above.
    server: { deps: { inline: [/@jsquash\//] } },
    // Two cores are what a small machine has; tests also start processes of their own.
    maxWorkers: 2,
    testTimeout: 120_000,
    hookTimeout: 60_000,
    passWithNoTests: true,
  },
});
