import type { RunRecord } from '../../record/run-record.js';
import { showDocument } from './show-document.js';

/** A run as one JSON document, the same as `show --json` prints, with a line end after it. */
export const jsonExport = (record: RunRecord): string => `${JSON.stringify(showDocument(record), null, 2)}\n`;
