/**
 * Turns Ctrl-C (and a request to terminate) into an abort signal, so that the run can ramp down and be
 * closed. `abort` does the same from inside, for Ctrl-C that a prompt caught; `release` gives the keys back
 * their usual meaning.
 *
 * @param staysOnHangUp the end of the terminal session is no request: for a run that nobody watches
 */
export function interruption(staysOnHangUp = false): {
  signal: AbortSignal;
  abort: () => void;
  release: () => void;
} {
  const controller = new AbortController();
  const abort = (): void => controller.abort();
  const hangUp = staysOnHangUp ? () => undefined : abort;
  const handlers = { SIGINT: abort, SIGTERM: abort, SIGHUP: hangUp };
  for (const [name, handler] of Object.entries(handlers)) process.on(name, handler);
  return {
    signal: controller.signal,
    abort,
    release: () => {
      for (const [name, handler] of Object.entries(handlers)) process.off(name, handler);
    },
  };
}
