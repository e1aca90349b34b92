/** Says on stderr how many milliseconds of a processor a run took, whatever else the machine did; used with --import. */
process.on('exit', () => {
  const { user, system } = process.cpuUsage();
  process.stderr.write(`\ncpu ${Math.round((user + system) / 1000)}\n`);
});
