/** CPU time of this process so far, all threads, in milliseconds. */
export function cpu_ms(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}
