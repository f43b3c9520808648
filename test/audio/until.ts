import { setTimeout as delay } from 'node:timers/promises';

/** Waits for a condition, looking every few milliseconds. */
export async function until(what: string, met: () => boolean, longest_ms = 10_000): Promise<void> {
  const end_ms = performance.now() + longest_ms;
  while (!met()) {
    if (performance.now() > end_ms) throw new Error(`waited ${longest_ms} ms in vain until ${what}`);
    await delay(5);
  }
}
