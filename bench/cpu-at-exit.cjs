// Loaded into a program that is timed: tells on file descriptor 3 what its process has taken of the processor, in microseconds.
process.on('exit', () => {
  const { user, system } = process.cpuUsage();
  require('node:fs').writeSync(3, String(user + system));
});
