import { readBundle } from '../../bundle/read-bundle.js';
import { visibleName } from '../../units/visible-text.js';
import { storePlace } from '../look/store-place.js';
import type { Terminal } from '../terminal/terminal.js';

/** `ohmest import`: a run out of a bundle, into a database. */
export async function importFile(
  terminal: Terminal,
  file: string,
  options: { readonly db: string; readonly json?: boolean },
): Promise<number> {
  const bundle = await readBundle(file);
  const place = await storePlace(options.db);
  try {
    const run = await (await place.store()).importRun(bundle);
    const { record, captures } = bundle.content;
    const carried = bundle.carried.length;
    if (options.json)
      terminal.out(
        JSON.stringify(
          { run, imported_from: record.run, identity: bundle.identity, captures: carried, db: options.db },
          null,
          2,
        ),
      );
    else {
      const left = captures.length - carried;
      const more =
        left > 0 ? `, without the captures of ${left} points that were kept where it was made` : '';
      terminal.out(
        `run ${run} in ${visibleName(options.db)}: run ${record.run} of ${record.unit.label}, ${record.started.slice(0, 10)}` +
          `${carried > 0 ? `, with the captures of ${carried} points` : ''}${more}`,
      );
    }
    return 0;
  } catch (error) {
    await place.discard();
    throw error;
  } finally {
    await place.close();
    bundle.close();
  }
}
