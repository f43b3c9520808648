import { renderSections, type TextOptions } from '../text/render-blocks.js';
import type { Comparison } from './comparison.js';
import { comparisonSections } from './comparison-sections.js';

/** Several runs side by side for a terminal: who they are, in what their protocols differ, verdicts, differences. */
export const comparisonText = (comparison: Comparison, options: TextOptions): string =>
  renderSections(comparisonSections(comparison), {
    ...options,
    width: Math.min(120, Math.max(60, options.width)),
  });
