import type { ChildProcess } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import { PACKAGE_ROOT } from '../package-root.js';
import { startProgram } from '../start-program.js';
import { AudioUnavailable } from './audio-faults.js';
import { CAPTURE_FD, type FromHost, PLAY_FD, type ToHost } from './protocol.js';

/** The compiled host, whether this file itself is compiled or not. */
const HOST = join(PACKAGE_ROOT, 'dist', 'bench', 'audio', 'host.js');
/** Node's helper threads for collecting garbage run at ordinary priority: nothing that feeds the device waits for them. */
const NODE_OPTIONS = ['--single-threaded-gc'];

export interface HostListener {
  message(message: FromHost): void;
  /** A line that the host printed; the sound library reports there. */
  line(text: string): void;
  /** The process is gone. Called once, last. */
  ended(how: string): void;
}

/** One host process with its pipes and its own working folder (a crash leaves a file there). */
export class HostProcess {
  readonly #child: ChildProcess;
  readonly ended: Promise<void>;

  /**
   * Starts the process.
   *
   * @throws AudioUnavailable when ohmest has not been compiled
   */
  constructor(listener: HostListener) {
    if (!existsSync(HOST)) {
      throw new AudioUnavailable({
        what: 'the sound process of ohmest has not been compiled',
        mend: 'Run `npm run build` first',
      });
    }
    const folder = mkdtempSync(join(tmpdir(), 'ohmest-audio-'));
    // In a session of its own: Ctrl-C is the parent's affair, and the scheduler does not count it with the terminal's load.
    this.#child = startProgram([process.execPath, ...NODE_OPTIONS, HOST], {
      cwd: folder,
      windowsHide: true,
      stdio: ['ignore', 'pipe', 'pipe', 'pipe', 'pipe', 'ipc'],
    });
    this.#child.on('message', (message) => listener.message(message as FromHost));
    for (const output of [this.#child.stdout!, this.#child.stderr!]) {
      eachLine(output, (text) => listener.line(text));
    }
    // Writing to a process that has died is an error of the pipe; the end of the process tells it better.
    for (const pipe of [this.playPipe, this.capturePipe, this.#child]) pipe.on('error', () => {});
    this.ended = theEnd(this.#child).then((how) => {
      rmSync(folder, { recursive: true, force: true });
      listener.ended(how);
    });
  }

  get pid(): number {
    return this.#child.pid!;
  }

  get playPipe(): Writable {
    return this.#child.stdio[PLAY_FD] as Writable;
  }

  get capturePipe(): Readable {
    return this.#child.stdio[CAPTURE_FD] as Readable;
  }

  tell(message: ToHost): void {
    if (this.#child.connected) this.#child.send(message, () => {});
  }

  kill(): void {
    this.#child.kill('SIGKILL');
  }
}

/** How the process ended, once its last message has come: that may still lie in the channel at its exit. */
async function theEnd(child: ChildProcess): Promise<string> {
  const drained = new Promise<void>((resolve) => child.once('disconnect', resolve));
  const how = await new Promise<string>((resolve) => {
    child.once('exit', (code, signal) => {
      resolve(signal ? `was ended by ${signal}` : `ended with status ${code}`);
    });
    child.once('error', (error) => resolve(`failed: ${error.message}`));
  });
  if (child.connected) await drained;
  return how;
}

function eachLine(output: Readable, take: (line: string) => void): void {
  let rest = '';
  output.setEncoding('utf8');
  output.on('data', (text: string) => {
    const lines = (rest + text).split('\n');
    rest = lines.pop()!;
    for (const line of lines) if (line !== '') take(line);
  });
}
