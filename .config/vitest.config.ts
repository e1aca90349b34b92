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

export default defineConfig({
  root,
  plugins: [markdown],
  test: {
    include: ['tests/**/*.test.ts'],
    environment: 'node',
    // Two cores are what a small machine has; tests also start processes of their own.
    maxWorkers: 2,
    testTimeout: 120_000,
    hookTimeout: 60_000,
    passWithNoTests: true,
  },
});
