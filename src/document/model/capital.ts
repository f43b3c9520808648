/** Words of our own making as they stand at the beginning of a sentence, a note or a cell. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
