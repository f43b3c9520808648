import { InputError } from '../errors/ohmest-error.js';
import { visibleName } from '../units/visible-text.js';

/** One thing wrong with a document, and where. */
export interface Fault {
  /** From 1. */
  readonly line: number;
  readonly column: number;
  /** Keys from the top, list items counted from 1: `steps[2].climb.from`. Empty for the whole document. */
  readonly path: string;
  readonly what: string;
  /** What would be right; empty when `what` says it already. */
  readonly mend: string;
}

/** A document with hundreds of faults is one mistake repeated; nobody reads on. */
const MOST_LISTED = 50;

function inOrder(faults: readonly Fault[]): Fault[] {
  const seen = new Set<string>();
  return [...faults]
    .sort((a, b) => a.line - b.line || a.column - b.column)
    .filter(({ line, column, path, what }) => {
      const key = [line, column, path, what].join('\n');
      return seen.has(key) ? false : seen.add(key);
    });
}

function lineOf(file: string, fault: Fault): string {
  const path = fault.path ? `${fault.path}: ` : '';
  return visibleName(
    `${file}:${fault.line}:${fault.column}: ${path}${fault.what}${fault.mend ? `; ${fault.mend}` : ''}`,
  );
}

function listing(file: string, faults: readonly Fault[]): string {
  if (faults.length === 1) return lineOf(file, faults[0]!);
  const listed = faults.slice(0, MOST_LISTED).map((fault) => `\n  ${lineOf(file, fault)}`);
  const more = faults.length - listed.length;
  return `${visibleName(file)} has ${faults.length} faults:${listed.join('')}${more > 0 ? `\n  and ${more} more` : ''}`;
}

/** Everything that is wrong with a sequence, bench, twin or calibration file, in the order of the file. */
export class DocumentError extends InputError {
  readonly code = 'DOCUMENT_INVALID';
  readonly file: string;
  readonly faults: readonly Fault[];

  constructor(file: string, faults: readonly Fault[]) {
    const ordered = inOrder(faults);
    super({ what: listing(file, ordered) }, { list: true });
    this.file = file;
    this.faults = ordered;
  }
}
