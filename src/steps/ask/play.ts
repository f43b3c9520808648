import { confirm } from '../../runner/course/confirm.js';
import type { Walk } from '../../runner/course/walk.js';
import type { AskStep } from './plan.js';

/** Has the operator confirm something. */
export const playAsk = (walk: Walk, { text, confirms }: AskStep): Promise<void> =>
  confirm(walk, { about: 'sequence', text }, confirms);
