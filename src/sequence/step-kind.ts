/** Every kind of step. A registry over these is exhaustive: a kind without an answer does not compile. */
export const STEP_KINDS = ['ask', 'rest', 'quiet', 'climb', 'sweep', 'max-power', 'hold', 'warm-up'] as const;

export type StepKindName = (typeof STEP_KINDS)[number];

/** Whether this version knows a kind that a file or a database names. */
export const isStepKind = (name: string): name is StepKindName =>
  (STEP_KINDS as readonly string[]).includes(name);
