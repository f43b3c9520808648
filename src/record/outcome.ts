/** Every way in which a run ends. */
export const OUTCOMES = ['completed', 'stopped', 'tripped', 'fault', 'interrupted'] as const;

/** How a run ends. */
export type Outcome = (typeof OUTCOMES)[number];
