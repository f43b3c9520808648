import type fc from 'fast-check';

/** What became of one case that went well. */
export type Ending = 'read' | 'refused';

/** One reader of foreign input, with cases to feed it. */
export interface Subject {
  readonly name: string;
  readonly cases: fc.Arbitrary<unknown>;
  /** Only the reader under test: what is timed. Throws what the reader throws; a promise is waited for. */
  read(input: unknown): unknown;
  /** Looks over what was read. @throws Unsound */
  checkValue(value: unknown, input: unknown): void;
  /** Looks over what was thrown. @throws Unsound */
  checkRefusal(error: unknown, input: unknown): void;
}

/** A reader broke one of its promises. */
export class Unsound extends Error {
  override readonly name = 'Unsound';
}
