import { type ChildProcess, type SpawnOptions, spawn } from 'node:child_process';

/** How a program is started: where, and with which pipes. Never through a shell. */
export type ProgramStart = Pick<SpawnOptions, 'cwd' | 'stdio' | 'windowsHide'>;

/**
 * Starts a program in a process group of its own. The one place from which ohmest starts any: docs/programs.md lists the ways
 * that lead here, and test/bench/one-way.test.ts holds the source to it. Nobody may start a program of a bench file without a
 * `HeldBench`, which asks for a `ProgramConsent`.
 *
 * @throws what `spawn` throws: a program that cannot be started at all
 */
export function startProgram([program = '', ...args]: readonly string[], start: ProgramStart): ChildProcess {
  return spawn(program, args, { ...start, shell: false, detached: true });
}

/** Sends a signal to the program and all it has started; false when none of them is left. */
export function signalGroup({ pid }: ChildProcess, signal: NodeJS.Signals | 0): boolean {
  if (pid === undefined) return false;
  try {
    // Windows has no process groups.
    return process.kill(process.platform === 'win32' ? pid : -pid, signal);
  } catch {
    return false;
  }
}
