import picocolors from 'picocolors';
import { wrapText } from '../../document/text/wrap-text.js';
import type { RunWatch, Watcher } from '../../view/run-watch.js';
import type { TerminalLine, Tone } from '../../view/terminal/line.js';
import { runPicture } from '../../view/terminal/run-picture.js';
import { ProgressLine } from './progress-line.js';
import { Redrawn } from './redrawn.js';
import type { Terminal } from './terminal.js';

/** A picture that changes more often is not read. */
const EVERY_ms = 200;
/** For terminals that do not tell their size. */
const USUAL = { width: 80, rows: 24 } as const;

const { bold, dim, yellow } = picocolors.createColors(true);
const PAINT: Readonly<Record<Tone, (text: string) => string>> = {
  plain: (text) => text,
  strong: bold,
  faint: dim,
  warning: yellow,
};

/** The picture of a run at the bottom of a terminal, while it goes. It gives way to questions and leaves nothing behind. */
export class LiveView implements Watcher {
  private readonly redrawn: Redrawn;
  private watch: RunWatch | null = null;
  private last_ms = Number.NEGATIVE_INFINITY;
  private due: NodeJS.Timeout | null = null;
  private asking = false;
  /** Said while the picture, which shows it among its events, stands there: printed when that goes. */
  private held: string[] = [];
  private release = (): void => undefined;

  constructor(
    private readonly terminal: Terminal,
    private readonly stream: NodeJS.WriteStream = process.stderr,
  ) {
    const size = () => this.room().width;
    this.redrawn = new Redrawn({
      write: (text) => void stream.write(text),
      get columns() {
        return size();
      },
    });
  }

  begin(watch: RunWatch): void {
    this.watch = watch;
    const leave = watch.onChange(() => this.changed());
    const resized = (): void => this.draw();
    // The shell has printed below the picture meanwhile.
    const goesOn = (): void => {
      this.redrawn.leave();
      this.draw();
    };
    this.stream.on('resize', resized);
    process.on('SIGCONT', goesOn);
    this.release = () => {
      leave();
      this.stream.off('resize', resized);
      process.off('SIGCONT', goesOn);
    };
  }

  say(text: string): void {
    if (this.watch === null || this.asking) this.tell(text);
    else this.held.push(text);
  }

  end(): void {
    this.release();
    this.giveWay();
    this.watch = null;
  }

  private changed(): void {
    const asked = this.watch?.view().question ?? null;
    if (asked !== null && !this.asking) this.giveWay();
    const answered = asked === null && this.asking;
    this.asking = asked !== null;
    const wait_ms = this.last_ms + EVERY_ms - performance.now();
    if (answered || wait_ms <= 0) this.draw();
    else this.due ??= setTimeout(() => this.draw(), wait_ms).unref();
  }

  private draw(): void {
    this.forgetDue();
    if (this.watch === null || this.asking) return;
    this.last_ms = performance.now();
    const lines = runPicture(this.watch.view(), this.room());
    this.redrawn.draw(
      lines.map(({ text }) => text),
      lines.map(painted),
    );
  }

  /** Takes the picture away and says what it had kept from being said. */
  private giveWay(): void {
    this.forgetDue();
    this.redrawn.clear();
    for (const text of this.held.splice(0)) this.tell(text);
  }

  private tell(text: string): void {
    this.terminal.err(wrapText(text, this.room().width, '  '));
  }

  private forgetDue(): void {
    if (this.due !== null) clearTimeout(this.due);
    this.due = null;
  }

  /** The cursor stands below the picture, in a row of its own. */
  private room(): { readonly width: number; readonly rows: number } {
    return { width: this.stream.columns || USUAL.width, rows: (this.stream.rows || USUAL.rows) - 1 };
  }
}

const painted = ({ text, tone }: TerminalLine): string => (text === '' ? '' : PAINT[tone](text));

/** Who looks on while a run goes. */
export function watchersFor(terminal: Terminal): Watcher[] {
  return [terminal.live ? new LiveView(terminal) : new ProgressLine(terminal)];
}
