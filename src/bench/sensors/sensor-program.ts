import type { ChildProcess } from 'node:child_process';
import { oneLine } from '../../units/visible-text.js';
import { signalGroup, startProgram } from '../start-program.js';

/** What keeps a program from giving a value, in words; the bench file's owner reads it. */
export class NoSensorValue extends Error {
  override readonly name = 'NoSensorValue';
}

/** How a program is run. */
export interface ProgramRun {
  readonly argv: readonly string[];
  /** In which it runs; a relative path of the program counts from there. */
  readonly folder: string;
  readonly timeout_s: number;
  /** Ends it early. */
  readonly signal: AbortSignal;
}

/** More than any number needs, and enough of what a program complains about. */
const KEPT_BYTES = 2000;
const SHOWN_LETTERS = 200;
/** What was printed last may still be in the pipes when the program has ended. */
const LAST_WORDS_ms = 100;
const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d{1,3})?$/i;

/** Programs that run now. They end with this process, when it ends in good order. */
const running = new Set<ChildProcess>();
let seesToTheEnd = false;

/**
 * Runs a program once, without a shell and in a process group of its own, and gives the one number that it prints.
 * The promise is settled within the timeout whatever the program does: then it and all it has started are killed.
 *
 * @throws NoSensorValue saying why there is none, with what the program printed on stderr
 */
export function readSensorProgram({ argv, folder, timeout_s, signal }: ProgramRun): Promise<number> {
  const [program = ''] = argv;
  return new Promise((resolve, reject) => {
    if (signal.aborted) return reject(new NoSensorValue('the run has ended'));
    let child: ChildProcess;
    try {
      child = startProgram(argv, { cwd: folder, stdio: ['ignore', 'pipe', 'pipe'] });
    } catch (error) {
      return reject(notStarted(program, error));
    }
    const [out, err] = [collect(child.stdout), collect(child.stderr)];
    const stop = () => settle(() => reject(new NoSensorValue('the run has ended')));
    const timer = setTimeout(
      () =>
        settle(() =>
          reject(new NoSensorValue(`${program} had not ended after ${timeout_s} s${said(err())}`)),
        ),
      1000 * timeout_s,
    );
    let settled = false;
    const settle = (tell: () => void) => {
      if (settled) return;
      settled = true;
      clearTimeout(timer);
      signal.removeEventListener('abort', stop);
      signalGroup(child, 'SIGKILL');
      running.delete(child);
      child.stdout?.destroy();
      child.stderr?.destroy();
      tell();
    };
    const ended = (status: number | null, killer: string | null) =>
      settle(() => {
        const value = valueIn(program, { status, killer, out: out(), err: err() });
        if (value instanceof Error) reject(value);
        else resolve(value);
      });
    track(child);
    signal.addEventListener('abort', stop);
    child.once('error', (error) => settle(() => reject(notStarted(program, error))));
    child.once('close', ended);
    // A stranger that holds the pipes open is not waited for.
    child.once('exit', (status, killer) => setTimeout(() => ended(status, killer), LAST_WORDS_ms).unref());
  });
}

function collect(stream: NodeJS.ReadableStream | null): () => string {
  let text = '';
  stream?.setEncoding('utf8');
  stream?.on('data', (chunk: string) => {
    if (text.length < KEPT_BYTES) text += chunk;
  });
  return () => text.slice(0, KEPT_BYTES);
}

interface End {
  readonly status: number | null;
  readonly killer: string | null;
  readonly out: string;
  readonly err: string;
}

function valueIn(program: string, { status, killer, out, err }: End): number | NoSensorValue {
  if (killer) return new NoSensorValue(`${program} was ended by the signal ${killer}${said(err)}`);
  if (status !== 0) return new NoSensorValue(`${program} ended with status ${status}${said(err)}`);
  const text = out.trim();
  const value = NUMBER.test(text) ? Number(text) : Number.NaN;
  if (Number.isFinite(value)) return value;
  return new NoSensorValue(
    `${program} printed ${text === '' ? 'nothing' : `'${oneLine(text, SHOWN_LETTERS)}'`} and not one number`,
  );
}

function notStarted(program: string, error: unknown): NoSensorValue {
  const { code, message } = error as NodeJS.ErrnoException;
  return new NoSensorValue(
    code === 'ENOENT' ? `${program} was not found` : `${program} could not be started (${code ?? message})`,
    { cause: error },
  );
}

const said = (text: string) =>
  oneLine(text, SHOWN_LETTERS) === '' ? '' : `, saying: ${oneLine(text, SHOWN_LETTERS)}`;

function track(child: ChildProcess): void {
  running.add(child);
  if (seesToTheEnd) return;
  seesToTheEnd = true;
  process.once('exit', () => {
    for (const left of running) signalGroup(left, 'SIGKILL');
  });
}
