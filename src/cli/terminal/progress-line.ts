import type { Progress } from '../../runner/course/run-request.js';
import { formatDuration, formatQuantity, unitSign } from '../../units/format.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import type { RunWatch, Watcher } from '../../view/run-watch.js';
import { clip } from '../../view/terminal/fit.js';
import type { Terminal } from './terminal.js';

/** Without a terminal that redraws, a line appears at most this often. */
const PLAIN_EVERY_ms = 5_000;
const LIVE_EVERY_ms = 100;

/** Draws how a run gets on: one line that redraws itself, or plain lines now and then. */
export class ProgressLine implements Watcher {
  private drawn = false;
  private last_ms = Number.NEGATIVE_INFINITY;

  constructor(private readonly terminal: Terminal) {}

  begin(watch: RunWatch): void {
    watch.onGlance((progress) => this.draw(() => progressText(progress)));
  }

  end(): void {
    this.clear();
  }

  /** Draws a line of any words, unless the last one is too fresh. */
  draw(words: () => string): void {
    const now_ms = performance.now();
    if (now_ms - this.last_ms < (this.terminal.live ? LIVE_EVERY_ms : PLAIN_EVERY_ms)) return;
    this.last_ms = now_ms;
    const text = words();
    if (!this.terminal.live) {
      this.terminal.err(text);
      return;
    }
    process.stderr.write(`\r\u001b[2K${clip(text, Math.max(20, (process.stderr.columns || 80) - 1))}`);
    this.drawn = true;
  }

  /** Says something above the line. */
  say(text: string): void {
    this.clear();
    this.terminal.err(text);
  }

  /** Takes the line away, so that other text may follow. */
  clear(): void {
    if (this.drawn) process.stderr.write('\r\u001b[2K');
    this.drawn = false;
  }
}

/** One line: share done, step, point, frequency, watts, THD+N, time left. */
export function progressText(progress: Progress): string {
  const percent = `${Math.floor(100 * progress.done)} %`.padStart(5);
  const frequency = frequencyWords(progress.frequency_Hz);
  const powers = progress.power_W.filter((power_W) => power_W !== null);
  const residues = progress.thdn_percent.filter((residue) => residue !== null);
  const power = powers.length > 0 ? formatQuantity(Math.min(...powers), 'W') : '...';
  const residue = residues.length > 0 ? formatQuantity(Math.max(...residues), '%') : '...';
  const worst = powers.length > 1 ? ` (lowest power, highest THD+N of ${powers.length} channels)` : '';
  const sensors = (progress.sensors ?? []).map(sensorText).join('');
  const left = `${formatDuration(progress.left_s)} left`;
  return `${percent}  ${left}  ${progress.step}  point ${progress.point}  ${frequency}  ${power}  THD+N ${residue}${worst}${sensors}`;
}

type SensorValue = NonNullable<Progress['sensors']>[number];

function sensorText({ name, unit, value }: SensorValue): string {
  return `  ${name} ${value === null ? '...' : `${formatQuantity(value, '1')} ${unitSign(unit)}`}`;
}
