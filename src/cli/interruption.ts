/**
 * Turns Ctrl-C (and a request to terminate) into an abort signal, so that the run can ramp down and be
 * closed. `abort` does the same from inside, for Ctrl-C that a prompt caught; `release` gives the keys back
 * their usual meaning.
 */
export function interruption(): { signal: AbortSignal; abort: () => void; release: () => void } {
  const controller = new AbortController();
  const abort = (): void => controller.abort();
  const signals = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
  for (const name of signals) process.on(name, abort);
  return {
    signal: controller.signal,
    abort,
    release: () => {
      for (const name of signals) process.off(name, abort);
    },
  };
}
