/** Runs a program of ours in this process and says its peak memory at the end. */
const [, , program, ...args] = process.argv;
process.argv = [process.argv[0], program, ...args];
process.on('exit', () => process.stderr.write(`\npeak ${process.resourceUsage().maxRSS} KB\n`));
await import(program);
