import type { RunRecord } from '../../record/run-record.js';

/** Where a run came from that was not made into this database. */
export const originWords = ({ run, identity, imported }: NonNullable<RunRecord['origin']>): string =>
  `imported on ${dayOf(imported)}; run ${run} in the database that it was made into, identity ${identity.slice(0, 12)}`;

/** Under which permit a run was unattended. */
export const permitWords = ({ id, by, signed, expires }: NonNullable<RunRecord['permit']>): string =>
  `unattended under permit ${id}, signed by ${by} on ${dayOf(signed)}, valid until ${dayOf(expires)}`;

/** Where a run was resumed. */
export const sessionWords = ({
  number,
  started,
  first_point,
  before,
  permit,
}: RunRecord['sessions'][number]): string =>
  `session ${number} resumed the run at point ${first_point} on ${dayOf(started)}${permit ? ` under permit ${permit}` : ''}; the session before was ${before}`;

const dayOf = (moment: string): string => moment.replace(/^(\S{10})T(\S{5}).*$/, '$1 $2 UTC');
