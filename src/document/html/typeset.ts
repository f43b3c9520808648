import { NO_BREAK, QUANTITY_GAP } from '../text/wrap-text.js';

/**
 * Words with quantities as print sets them: no line break between number and unit, the signs Ω, µ and − in
 * place of their typewriter spellings. Only for words of our own making, never for text from a run.
 */
export const typeset = (text: string): string =>
  text
    .replace(/(?<=\d) ohm\b/g, ' Ω')
    .replace(/(?<=\d )u(?=[A-Z])/g, 'µ')
    .replace(/(?<![\w.])-(?=\d)/g, '−')
    .replace(QUANTITY_GAP, NO_BREAK)
    .replace(/ ± /g, `${NO_BREAK}±${NO_BREAK}`);
