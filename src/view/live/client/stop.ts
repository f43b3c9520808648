import { byId } from './dom.js';

/** Longest wait for the run to say that it has heard. */
const HEARD_ms = 5_000;

/**
 * The stop button and its question. `failed` is called when the run could not be told, with what to do instead.
 */
export function wireStop(base: string, token: string, failed: (text: string) => void): void {
  const dialog = byId<HTMLDialogElement>('confirm');
  byId('stop').addEventListener('click', () => {
    dialog.showModal();
    byId('stop-now').focus();
  });
  byId('go-on').addEventListener('click', () => dialog.close());
  byId('stop-now').addEventListener('click', () => {
    dialog.close();
    void askToStop(base, token).then((heard) => {
      if (!heard)
        failed('The run could not be told to stop. Press Ctrl-C in its terminal, or switch the unit off.');
    });
  });
}

async function askToStop(base: string, token: string): Promise<boolean> {
  try {
    const answer = await fetch(`${base}/stop`, {
      method: 'POST',
      headers: { 'X-Ohmest-Token': token },
      signal: AbortSignal.timeout(HEARD_ms),
    });
    return answer.ok;
  } catch {
    return false;
  }
}
