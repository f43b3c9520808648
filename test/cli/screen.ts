import { EventEmitter } from 'node:events';
import { Terminal as Emulator } from '@xterm/headless';

/** A terminal without a screen, and the stream that a program writes to it. */
export class Screen extends EventEmitter {
  readonly isTTY = true;
  /** Everything that was written, escapes included. */
  bytes = '';
  writes = 0;
  private readonly emulator: Emulator;

  constructor(columns: number, rows: number) {
    super();
    // A pty turns every line feed into a new line.
    this.emulator = new Emulator({ cols: columns, rows, convertEol: true, allowProposedApi: true });
  }

  get columns(): number {
    return this.emulator.cols;
  }

  get rows(): number {
    return this.emulator.rows;
  }

  get wraps(): boolean {
    return this.emulator.modes.wraparoundMode;
  }

  write(text: string): boolean {
    this.bytes += text;
    this.writes += 1;
    this.emulator.write(text);
    return true;
  }

  /** Changes its size as a window does: what is on it first, then the program hears of it. */
  async resize(columns: number, rows: number): Promise<void> {
    await this.settled();
    this.emulator.resize(columns, rows);
    this.emit('resize');
  }

  /** All lines, those that have left the screen at the top first, without empty ones at the end. */
  async lines(): Promise<string[]> {
    await this.settled();
    const { active } = this.emulator.buffer;
    const lines = Array.from({ length: active.length }, (_, y) => active.getLine(y)!.translateToString(true));
    return lines.slice(0, lines.findLastIndex((line) => line !== '') + 1);
  }

  /** Only the lines that are to be seen. */
  async visible(): Promise<string[]> {
    const lines = await this.lines();
    return lines.slice(this.emulator.buffer.active.baseY);
  }

  /** Whether a line was too long for the screen and goes on in the next. */
  async broken(): Promise<boolean> {
    await this.settled();
    const { active } = this.emulator.buffer;
    return Array.from({ length: active.length }, (_, y) => active.getLine(y)!).some(
      ({ isWrapped }) => isWrapped,
    );
  }

  private settled(): Promise<void> {
    return new Promise((resolve) => this.emulator.write('', resolve));
  }
}
