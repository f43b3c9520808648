import { existsSync, readFileSync } from 'node:fs';
import { benchWithTwin, device, idealTwinWith, programBench, SHORT } from '../../../test/cli/stand.js';
import { type Attempt, type Ended, type Stand, telling, unlessSaid } from '../attempt.js';

/** A name, and yes to whatever is asked. */
const YES = `Ada\n${'yes\n'.repeat(40)}`;
const LOAD = 'load: {nominal: 8 ohm, rating: 200 W}';
const SUPPLY = 'unit_supply: {outputs: single-ended, rails: 80 V}\n';

const RUN = ['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U'];
const played = (stand: Stand) => existsSync(stand.at('takes'));

/** A bench of a program that practises, which is asked of like one with real equipment. */
function practise(stand: Stand, bench = programBench('practice')): void {
  stand.put({ 'short.yaml': SHORT, 'bench.yaml': bench, 'device.mjs': device() });
}

async function signed(stand: Stand): Promise<string> {
  const args = ['permit', 'short.yaml', '--bench', 'bench.yaml', '--json'];
  const { status, stdout, stderr } = await stand.ohmest(args, { input: YES });
  if (status !== 0) throw new Error(`no permit was signed: ${stderr}`);
  return JSON.parse(stdout).permit.id;
}

/** A run whose device fails in the middle, so that it can be resumed. */
async function brokenRun(stand: Stand): Promise<Ended> {
  stand.put({ 'short.yaml': SHORT, 'bench.yaml': programBench('no'), 'device.mjs': device(2) });
  const ended = await stand.ohmest(RUN);
  if (ended.status !== 4) throw new Error(`the device did not fail: ${ended.stderr}`);
  return ended;
}

/** What terminal and page say of the end of a run: its true cause, and not the operator. */
async function blamed(stand: Stand, { status }: Ended, wanted: number, cause: RegExp) {
  const shown = await stand.ohmest(['show', '1', '--details']);
  await stand.ohmest(['report', '1', '-o', 'page.html']);
  const page = readFileSync(stand.at('page.html'), 'utf8');
  const met = { status, stdout: page, stderr: '' };
  return {
    met: telling(met, cause),
    misses: [
      ...unlessSaid(met, wanted, cause),
      /by the operator/.test(shown.stdout + page) && 'it blames the operator',
    ],
  };
}

/** What does not fit the bench, the permit or the run that it is put to. */
export const BENCH_ATTEMPTS: readonly Attempt[] = [
  {
    name: 'another-load',
    words: 'a load of 4.01 ohm stands in the place of one of 8 ohm',
    try: async (stand) => {
      practise(stand, programBench('practice').replace(LOAD, LOAD.replace(',', ', measured: 4.01 ohm,')));
      const met = await stand.ohmest(RUN, { input: YES });
      return {
        met,
        misses: [
          ...unlessSaid(met, 2, /8 ohm load measures 4\.01 ohm.*ohms of another load/),
          played(stand) && 'it was played into',
        ],
      };
    },
  },
  {
    name: 'doubtful-load',
    words: 'a load of 8 ohm measures 6.9 ohm, and nobody has confirmed that',
    try: async (stand) => {
      const doubtful = LOAD.replace(',', ', measured: 6.9 ohm,');
      practise(stand, programBench('practice').replace(LOAD, doubtful));
      const met = await stand.ohmest(RUN, { input: YES });
      const confirmed = doubtful.replace('rating', 'off_nominal: yes, rating');
      stand.put({ 'bench.yaml': programBench('practice').replace(LOAD, confirmed) });
      const run = await stand.ohmest(RUN, { input: YES });
      const shown = await stand.ohmest(['show', '1']);
      return {
        met,
        misses: [
          ...unlessSaid(met, 2, /8 ohm load measures 6\.9 ohm.*off_nominal: yes/),
          run.status !== 0 && `once confirmed, it ended with ${run.status}: ${run.stderr.slice(-300)}`,
          !/6\.9 ohm/.test(shown.stdout) && 'once confirmed, the doubt is not shown with the result',
        ],
      };
    },
  },
  {
    name: 'warm-loads',
    words: 'a run begins while its load is still warm from another one, recorded in another database',
    try: async (stand) => {
      const small = LOAD.replace('200 W', '20 W, short_rating: 200 W');
      practise(stand, programBench('practice').replace(LOAD, small));
      stand.put({ 'short.yaml': SHORT.replace('level: 1 W', 'level: 100 W') });
      const first = await stand.ohmest(RUN, { input: YES });
      const met = await stand.ohmest([...RUN, '--db', 'other.db'], { input: YES });
      const warmth =
        /The 8 ohm load of channel 1 is still warm from [^.]*: [\d.]+ W of its 20.*?rests where it must\./;
      return {
        met: telling(met, warmth),
        misses: [
          first.status !== 0 && `the first run ended with ${first.status}: ${first.stderr.slice(-300)}`,
          ...unlessSaid(met, 0, warmth),
        ],
      };
    },
  },
  {
    name: 'late-trips',
    words: 'a permit is signed on a bench whose trips come only after a whole take',
    try: async (stand) => {
      practise(stand);
      const met = await stand.ohmest(['permit', 'short.yaml', '--bench', 'bench.yaml'], { input: YES });
      const late = /No trip takes effect before the end of a take, up to [0-9.]+ s/;
      return { met: telling(met, late), misses: unlessSaid(met, 0, late) };
    },
  },
  {
    name: 'permit-other-program',
    words: 'the program of the bench is another one than when the permit was signed',
    try: async (stand) => {
      practise(stand);
      const id = await signed(stand);
      stand.put({ 'device.mjs': `${device()}// changed\n` });
      const met = await stand.ohmest([...RUN, '--permit', id]);
      const said = unlessSaid(met, 2, /the bench, its calibration or a program of it differs/);
      return { met, misses: [...said, played(stand) && 'it was played'] };
    },
  },
  {
    name: 'permit-copied',
    words: 'the permit comes along in a copy of the database',
    try: async (stand) => {
      practise(stand);
      const id = await signed(stand);
      stand.copy('ohmest.db', 'copy.db');
      const met = await stand.ohmest([...RUN, '--permit', id, '--db', 'copy.db']);
      const said = unlessSaid(met, 2, /signed for the database .*ohmest\.db, and this is .*copy\.db/);
      return { met, misses: [...said, played(stand) && 'it was played'] };
    },
  },
  {
    name: 'permit-twice',
    words: 'two runs begin at once under one permit',
    try: async (stand) => {
      // A simulated bench is not locked: nothing but the permit keeps the two apart.
      practise(stand, `${benchWithTwin('ideal-40')}${SUPPLY}`);
      const args = [...RUN, '--permit', await signed(stand)];
      const both = await Promise.all([stand.ohmest(args), stand.ohmest(args)]);
      const [first, met] = both.sort((a, b) => Number(a.status) - Number(b.status)) as [
        (typeof both)[0],
        (typeof both)[0],
      ];
      const served = first.status !== 0 && `none of them was served: ${first.stderr.slice(-300)}`;
      return { met, misses: [served, ...unlessSaid(met, 2, /and a permit serves one run/)] };
    },
  },
  {
    name: 'limit-not-operator',
    words: 'a limit of the sequence ends a run, with nobody present',
    try: async (stand) => {
      stand.put({
        'short.yaml': 'name: Q\nload: 8 ohm\nsteps:\n  - quiet: {id: q, for: 2 s, most_dc: 40 mV}\n',
        'bench.yaml': benchWithTwin('twin.yaml'),
        'twin.yaml': idealTwinWith('dc_fault: {channel: 1, voltage: 0.1 V, after: 0 s}'),
      });
      return blamed(
        stand,
        await stand.ohmest(RUN),
        3,
        /Stopped by a limit of the sequence: q, channel 1: [^<]*/,
      );
    },
  },
  {
    name: 'fault-not-operator',
    words: 'the program of the bench fails in a run',
    try: async (stand) =>
      blamed(
        stand,
        await brokenRun(stand),
        4,
        /Ended by a fault of the bench: [^<]*the invented relay has stuck/,
      ),
  },
  {
    name: 'stranger-at-resume',
    words: "a run is resumed in a folder whose bench file starts a stranger's program",
    try: async (stand) => {
      await brokenRun(stand);
      stand.put({ 'device.mjs': "import { writeFileSync } from 'node:fs'; writeFileSync('ran', '');\n" });
      // A variable that a shell brought along names nothing either.
      const met = await stand.ohmest(['resume', '1'], { input: 'y\n', env: { OHMEST_BENCH: 'bench.yaml' } });
      const said = unlessSaid(met, 2, /device\.mjs.*--bench bench\.yaml/);
      return { met, misses: [...said, existsSync(stand.at('ran')) && 'the program was started'] };
    },
  },
];
