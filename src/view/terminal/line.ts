/** How a line is set off where the terminal has colour. What it says never depends on that. */
export type Tone = 'plain' | 'strong' | 'faint' | 'warning';

/** One line of a picture: text without escapes, never wider than the terminal. */
export interface TerminalLine {
  readonly text: string;
  readonly tone: Tone;
}

export const plain = (text: string): TerminalLine => ({ text, tone: 'plain' });
export const strong = (text: string): TerminalLine => ({ text, tone: 'strong' });
export const faint = (text: string): TerminalLine => ({ text, tone: 'faint' });
