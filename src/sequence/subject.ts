/** What an operator's answer is about, when something else is later asked of it. */
export const SUBJECTS = [
  'ambient',
  'mains-voltage',
  'mains-frequency',
  'input-used',
  'connection',
  'same-set-up',
] as const;

export type Subject = (typeof SUBJECTS)[number];
