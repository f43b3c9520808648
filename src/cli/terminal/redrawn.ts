import { columnsOf } from '../../view/terminal/fit.js';

const ESC = '\u001b[';
/** Lines that are wider than the terminal after all (no two agree on every sign) are cut by it, not broken. */
const NO_WRAP = `${ESC}?7l`;
const WRAP = `${ESC}?7h`;
const TO_LINE_END = `${ESC}K`;
const TO_SCREEN_END = `${ESC}J`;

/** As much of a terminal as a redrawn picture needs. */
export interface Screen {
  write(text: string): void;
  readonly columns: number;
}

/**
 * Lines at the bottom of what has been printed, drawn over again in place. The cursor is left visible below them, and
 * nothing stays switched after a write: whatever ends or stops the program, the terminal is as it was.
 */
export class Redrawn {
  /** Widths of the lines on the screen. */
  private drawn: readonly number[] = [];

  constructor(private readonly screen: Screen) {}

  /** Draws in place of what was drawn before. `styled` are the same lines with colour. */
  draw(lines: readonly string[], styled: readonly string[] = lines): void {
    const body = styled.map((line) => `${TO_LINE_END}${line}\r\n`).join('');
    // In one write, line over line, so that nothing flickers.
    this.screen.write(`${this.back()}${NO_WRAP}${body}${WRAP}${TO_SCREEN_END}`);
    this.drawn = lines.map(columnsOf);
  }

  /** Takes the lines away, so that other text may follow. */
  clear(): void {
    if (this.drawn.length > 0) this.screen.write(`${this.back()}${TO_SCREEN_END}`);
    this.drawn = [];
  }

  /** Leaves the lines where they are: something else may have been printed below them. */
  leave(): void {
    this.drawn = [];
  }

  /** To the first line. A terminal that has become narrower has broken the lines that it had. */
  private back(): string {
    const rows = this.drawn
      .map((width) => Math.max(1, Math.ceil(width / this.screen.columns)))
      .reduce((sum, one) => sum + one, 0);
    return rows === 0 ? '\r' : `\r${ESC}${rows}A`;
  }
}
