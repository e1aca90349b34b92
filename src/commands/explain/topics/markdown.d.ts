/** The build and the tests take a Markdown file as its text. */
declare module '*.md' {
  const text: string;
  // biome-ignore lint/style/noDefaultExport: this is how a file comes in as a value
  export default text;
}
