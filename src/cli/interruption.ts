/**
 * Turns Ctrl-C (and a request to terminate) into an abort signal, so that the run can ramp down and be
 * closed. `release` gives the keys back their usual meaning.
 */
export function interruption(): { signal: AbortSignal; release: () => void } {
  const controller = new AbortController();
  const abort = (): void => controller.abort();
  const signals = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
  for (const name of signals) process.on(name, abort);
  return {
    signal: controller.signal,
    release: () => {
      for (const name of signals) process.off(name, abort);
    },
  };
}
