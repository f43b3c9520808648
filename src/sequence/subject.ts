/** What a question of a sequence may have confirmed. */
export const ASKED_SUBJECTS = ['ambient', 'mains-voltage', 'mains-frequency', 'input-used'] as const;

/** What an operator's answer is about, when something else is later asked of it. */
export const SUBJECTS = [...ASKED_SUBJECTS, 'connection', 'same-set-up'] as const;

export type Subject = (typeof SUBJECTS)[number];
