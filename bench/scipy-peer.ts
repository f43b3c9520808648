import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

const SCRIPT = fileURLToPath(new URL('analysis-scipy.py', import.meta.url));
const PYTHON = '/usr/bin/python3';

/** One analysis of one file: what it took, and what it found. */
export interface PeerRound {
  readonly ms_per_channel: number;
  readonly figures: readonly { readonly thdn_percent: number }[];
}

/** `analysis-scipy.py`, which does a round whenever it is asked to. */
export class ScipyPeer {
  private readonly child: ChildProcessWithoutNullStreams;
  private readonly answers: AsyncIterator<string>;

  constructor(phasors: 'each' | 'once', tone_Hz: number, file: string) {
    this.child = spawn(PYTHON, [SCRIPT, phasors, String(tone_Hz), file]);
    // Where there is no Python or no scipy, the output ends without an answer.
    this.child.on('error', () => undefined);
    this.child.stdin.on('error', () => undefined);
    this.answers = createInterface({ input: this.child.stdout })[Symbol.asyncIterator]();
  }

  /** Null where there is no scipy. */
  async round(): Promise<PeerRound | null> {
    this.child.stdin.write('\n');
    const { value, done } = await this.answers.next();
    return done ? null : (JSON.parse(value) as PeerRound);
  }

  close(): void {
    this.child.stdin.end();
  }
}
