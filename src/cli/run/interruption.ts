/**
 * Turns Ctrl-C (and a request to terminate) into an abort signal, so that the run can ramp down and be
 * closed. `abort` does the same from inside, for Ctrl-C that a prompt caught, or for who else may ask for the end and
 * then stands in the run's reason: 'by ...'. `release` gives the keys back their usual meaning.
 *
 * @param staysOnHangUp the end of the terminal session is no request: for a run that nobody watches
 */
export function interruption(staysOnHangUp = false): {
  signal: AbortSignal;
  abort: (by?: string) => void;
  release: () => void;
} {
  const controller = new AbortController();
  const abort = (by?: string): void => controller.abort(by);
  const terminated = (): void => abort('by a request to end the process (SIGTERM)');
  const hangUp = staysOnHangUp ? () => undefined : () => abort('by the end of the terminal session');
  const handlers = { SIGINT: () => abort(), SIGTERM: terminated, SIGHUP: hangUp };
  for (const [name, handler] of Object.entries(handlers)) process.on(name, handler);
  return {
    signal: controller.signal,
    abort,
    release: () => {
      for (const [name, handler] of Object.entries(handlers)) process.off(name, handler);
    },
  };
}
