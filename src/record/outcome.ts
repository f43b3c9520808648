/** How a run ends. */
export type Outcome = 'completed' | 'stopped' | 'tripped' | 'fault' | 'interrupted';
