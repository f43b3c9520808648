import { execFileSync, spawnSync } from 'node:child_process';
import { copyFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { Recorder } from '../../test/audio/recorder.js';
import { until } from '../../test/audio/until.js';
import { isAlive } from '../../test/bench/command/processes.js';
import type { Entry } from './campaign.js';
import { DISK, fill } from './fill-disk.js';
import { type SoundFault, type SoundStand, soundRow } from './sound-fault.js';

const RIG = fileURLToPath(new URL('../audio-rig.sh', import.meta.url));
const kill = (pid: number, signal: NodeJS.Signals) => void process.kill(pid, signal);
const refused = ({ run }: SoundStand) => run.refused_ms;
let holder: Database.Database | null = null;
let asleep = 0;
/** A shorter standstill could be that of a busy computer, after which the level is played again. */
const NOT_BUSY_ms = 2500;

export const SOUND_FAULTS: readonly SoundFault[] = [
  {
    name: 'parent-killed',
    words: 'the program is killed',
    ends: ['interrupted'],
    harm: ({ run }) => kill(run.child.pid!, 'SIGKILL'),
    tells: /ended without closing the run/,
  },
  {
    name: 'child-killed',
    words: 'its sound process is killed',
    ends: ['fault'],
    harm: ({ run }) => kill(run.hostPid, 'SIGKILL'),
    tells: /was ended by SIGKILL/,
  },
  {
    name: 'child-woken',
    words: 'its sound process is stopped, the program is killed, and the sound process runs again',
    ends: ['interrupted'],
    harm: ({ run }) => {
      asleep = run.hostPid;
      kill(asleep, 'SIGSTOP');
      kill(run.child.pid!, 'SIGKILL');
    },
    after: async () => {
      kill(asleep, 'SIGCONT');
      await until('the sound process has ended', () => !isAlive(asleep));
    },
    tells: /ended without closing the run/,
  },
  {
    name: 'busy-start',
    words: 'the sound server stands still for 100 ms just when the program begins to play',
    ends: ['completed'],
    early: true,
    harm: async ({ rig }) => {
      await until('the program plays', () => rig.pactl('list', 'short', 'sink-inputs') !== '', 60_000);
      kill(rig.serverPid, 'SIGSTOP');
      await delay(100);
      kill(rig.serverPid, 'SIGCONT');
    },
    tells: /completed/,
  },
  {
    name: 'parent-stopped',
    words: 'the program is stopped, and continues three seconds later',
    ends: ['fault'],
    harm: ({ run }) => kill(run.child.pid!, 'SIGSTOP'),
    after: async ({ run }) => {
      await delay(NOT_BUSY_ms);
      kill(run.child.pid!, 'SIGCONT');
    },
    tells: /this program stood still/,
  },
  {
    name: 'computer-asleep',
    words: 'program and sound process stand still, as in a sleep of the computer, and run again',
    ends: ['fault'],
    harm: ({ run }) => {
      const { hostPid } = run;
      kill(run.child.pid!, 'SIGSTOP');
      kill(hostPid, 'SIGSTOP');
      asleep = hostPid;
    },
    after: ({ run }) => {
      kill(asleep, 'SIGCONT');
      kill(run.child.pid!, 'SIGCONT');
    },
    tells: /stood still|was ended by SIGKILL|no sound came in|did not deliver samples in time/,
  },
  {
    name: 'server-restarted',
    words: 'the sound server is killed and started again',
    ends: ['fault'],
    harm: async ({ rig }) => {
      kill(rig.serverPid, 'SIGKILL');
      const folder = rig.env.XDG_RUNTIME_DIR!;
      // Where nobody takes note of a killed program's end, the new one takes it to be running still.
      rmSync(join(folder, 'pulse', 'pid'), { force: true });
      execFileSync(RIG, ['start', folder, '48000', '2', '-6'], { stdio: 'ignore' });
      const again = new Recorder(rig);
      try {
        await until('the new server is heard to be silent', () => again.silence_ms > 500);
      } finally {
        again.stop();
      }
    },
    tells: /no sound came in/,
  },
  {
    name: 'sink-removed',
    words: 'the sink is removed while it plays',
    ends: ['fault'],
    harm: ({ rig }) => void rig.pactl('unload-module', 'module-null-sink'),
    tells: /no sound came in|samples were lost/,
  },
  {
    name: 'stall',
    words: 'the sound server stands still for 50 ms',
    ends: ['fault', 'completed'],
    harm: async ({ rig }) => {
      kill(rig.serverPid, 'SIGSTOP');
      await delay(50);
      kill(rig.serverPid, 'SIGCONT');
    },
    tells: /samples were lost|every step|Every step|completed/,
  },
  {
    name: 'sound-clipping',
    words: "the path's gain is set to four times what it was",
    ends: ['tripped'],
    harm: ({ rig }) => void rig.pactl('set-sink-volume', 'bench', '159%'),
    tells: /more than the|at its rails/,
  },
  {
    name: 'sound-probe-hanging',
    words: 'the program of a needed sensor hangs',
    ends: ['tripped'],
    bench: `probes:
  - {name: fan, argv: [sh, -c, "test -e hang && sleep 3600; echo 900"], unit: rpm, every: 1 s, timeout: 0.5 s, needed: yes}
`,
    harm: ({ folder }) => writeFileSync(join(folder, 'hang'), ''),
    from_ms: ({ run }) => {
      const last = run.log().findLast(({ msg }) => msg === 'sensor');
      return last ? Date.parse(last.time) - performance.timeOrigin : null;
    },
    tells: /has given no value 3 times in a row/,
  },
  {
    name: 'sound-database-locked',
    words: 'another program locks the database and does not let go',
    ends: ['interrupted'],
    harm: ({ run }) => {
      holder = new Database(run.db);
      holder.exec('BEGIN EXCLUSIVE');
    },
    over: () => holder?.close(),
    clear: () => holder?.close(),
    from_ms: refused,
    tells: /another program locked the database/,
  },
  {
    name: 'sound-disk-full',
    words: 'the disk of the database fills up',
    ends: ['interrupted', 'fault'],
    before: (folder) => execFileSync('mount', ['-t', 'tmpfs', '-o', DISK, 'tmpfs', folder]),
    harm: ({ folder }) => fill(folder),
    over: ({ folder }) => rmSync(join(folder, 'filler'), { force: true }),
    clear: (folder) => void spawnSync('umount', ['-l', folder], { stdio: 'ignore' }),
    from_ms: refused,
    tells: /disk is full/,
  },
  {
    name: 'sound-database-replaced',
    words: 'the database is moved away and another file put in its place',
    ends: ['interrupted'],
    before: (folder) =>
      void new Database(join(folder, 'other.db')).exec('CREATE TABLE invented (number)').close(),
    harm: ({ folder, run }) => {
      renameSync(run.db, join(folder, 'moved.db'));
      copyFileSync(join(folder, 'other.db'), run.db);
    },
    from_ms: refused,
    endsIn: (folder) => join(folder, 'moved.db'),
    tells: /moved, deleted or replaced/,
  },
];

const TIMES = 2;

/** Every fault of the path of sound. They need PulseAudio and a build. */
export const SOUND_ENTRIES: readonly Entry[] = SOUND_FAULTS.map((fault) => ({
  name: fault.name,
  where: 'sound',
  times: TIMES,
  timesInShort: 1,
  inject: (times) => soundRow(fault, times),
}));
