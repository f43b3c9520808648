export type ConditionState = 'met' | 'not met' | 'not recorded';

/** One condition of the rule beside what the run did. */
export interface Condition {
  readonly condition: string;
  readonly required: string;
  readonly found: string;
  readonly state: ConditionState;
  /** Where the requirement comes from. */
  readonly source: string;
}
