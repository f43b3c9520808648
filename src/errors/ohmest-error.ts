/** What a failure tells its reader. Each part is a plain sentence or phrase without a closing full stop. */
export interface Explanation {
  /** What went wrong, with the value received. */
  readonly what: string;
  /** Where: file, line and column, step, channel. Left out when there is only one place. */
  readonly where?: string;
  /** How to mend it, or what would be right. */
  readonly mend?: string;
}

/** Exit statuses that scripts may rely on. */
export const EXIT = { done: 0, badInput: 2, tripped: 3, benchFault: 4, interrupted: 130 } as const;

/** A sentence with a full stop, unless it ends as a question. */
const ended = (sentence: string): string => (sentence.endsWith('?') ? sentence : `${sentence}.`);

/** What was typed, or a file's name, may hold a line end, after which it could pass for a line of ours. */
const onOneLine = (text: string): string => text.replaceAll('\n', '\\u000a').replaceAll('\r', '\\u000d');

/**
 * Root of every error that ohmest raises on purpose. One subclass per cause, each with a stable
 * `code`; the exit status follows from which of the two families below it belongs to.
 */
export abstract class OhmestError extends Error {
  abstract readonly code: string;
  abstract readonly exitStatus: number;
  readonly explanation: Explanation;

  /** @param options with `list`, `what` is made of several lines, none of which holds a line end of a stranger's */
  constructor(explanation: Explanation, options?: ErrorOptions & { readonly list?: boolean }) {
    const { what, where, mend } = explanation;
    const said = `${ended(what)}${mend ? ` ${ended(mend)}` : ''}`;
    super(`${where ? `${onOneLine(where)}: ` : ''}${options?.list ? said : onOneLine(said)}`, options);
    this.name = new.target.name;
    this.explanation = explanation;
  }
}

/** The caller's input is at fault: nothing was played, nothing was lost. Exit status 2. */
export abstract class InputError extends OhmestError {
  readonly exitStatus = EXIT.badInput;
}

/** The bench let the run down: device lost, dropouts, child died, program failed. Exit status 4. */
export abstract class BenchFault extends OhmestError {
  readonly exitStatus = EXIT.benchFault;
}
