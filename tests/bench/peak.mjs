/** Preloaded by `node --import`: says on stderr how much memory the process took at most. */
process.on('exit', () => {
  process.stderr.write(`peak ${process.resourceUsage().maxRSS}\n`);
});
