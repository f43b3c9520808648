import { setTimeout as delay } from 'node:timers/promises';

/** The time of a command bench. */
export interface CommandClock {
  now_s(): number;
  /** Counts signal that was played. */
  played(seconds: number): void;
  /** Lets time pass; ends early, without error, when `signal` aborts. */
  wait(seconds: number, signal?: AbortSignal): Promise<void>;
}

/** Time for a program that only computes: it passes as it is counted, so an hour of rest costs nothing. */
export function virtualClock(): CommandClock {
  let time_s = 0;
  return {
    now_s: () => time_s,
    played: (seconds) => {
      time_s += seconds;
    },
    wait: async (seconds, signal) => {
      if (!signal?.aborted) time_s += seconds;
    },
  };
}

/** The world's time, for a program that drives hardware: what was played has taken its time already. */
export function worldClock(): CommandClock {
  return {
    now_s: () => performance.now() / 1000,
    played: () => {},
    wait: async (seconds, signal) => {
      const until = performance.now() + 1000 * seconds;
      // A timer may fire early by a fraction of a millisecond, and takes no more than 2^31 ms.
      for (let left = 1000 * seconds; left > 0 && !signal?.aborted; left = until - performance.now()) {
        await delay(Math.min(left, 2 ** 31 - 1), undefined, signal ? { signal } : {}).catch(() => {});
      }
    },
  };
}
