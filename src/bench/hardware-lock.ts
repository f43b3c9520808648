import { createHash } from 'node:crypto';
import { connect, createServer, type Server } from 'node:net';
import { userInfo } from 'node:os';
import { z } from 'zod';
import { inputError } from '../errors/error-table.js';

/** Another run, of whichever user and into whichever database, plays on the same hardware. */
export const BenchInUse = inputError('BENCH_IN_USE', (hardware: string, holder: string) => ({
  what: `${hardware} is in use: ${holder}`,
  mend: 'Nothing was played. One bench serves one run: wait until that one has ended, or end it',
}));

/** A piece of hardware that only one run may hold. */
export interface Hardware {
  /** `the sound device "Bench interface"`. */
  readonly words: string;
  /** What it is the same by, whoever asks: never shown. */
  readonly key: string;
}

/** Hardware that this process holds until it lets go or ends, however it ends. */
export interface HardwareHold {
  /** Why other runs on this machine are not kept off; null where they are. */
  readonly gap: string | null;
  release(): Promise<void>;
}

/** Who holds a lock, as it says itself. Any program of this machine could say anything: it is shown and nothing more. */
const LONGEST_USER = 200;
const holderSchema = z.object({
  pid: z.number().int().positive(),
  user: z.string().max(LONGEST_USER),
  command: z.string().max(200),
  since: z.string().max(40),
});

const MOST_BYTES = 2000;
const LONGEST_ms = 1000;
/** An owner may end between the refusal and the question who it is. */
const TRIES = 5;

/**
 * Holds hardware for this process alone, across databases, users and working folders. The lock is a name that the operating
 * system keeps: a socket without a file on Linux, a named pipe on Windows. It is gone the moment its owner is, and
 * nothing is left behind that could be stale. It reaches as far as such names do: a container of its own has its own.
 *
 * @param command what the holder does, for whoever is refused
 * @throws BenchInUse naming who holds it since when
 */
export async function holdHardware(hardware: readonly Hardware[], command: string): Promise<HardwareHold> {
  const held: Server[] = [];
  const release = async () => {
    await Promise.all(held.splice(0).map((server) => new Promise((done) => server.close(done))));
  };
  // In one order for everybody: of two that want the same two, one gets both.
  const wanted = [...new Map(hardware.map((one) => [one.key, one])).values()].sort((a, b) =>
    a.key < b.key ? -1 : 1,
  );
  if (wanted.length === 0) return { gap: null, release };
  if (lockName('') === null)
    return {
      gap: `${process.platform} offers no lock that ends with its owner: make sure that no other run uses this bench`,
      release,
    };
  const about = JSON.stringify({
    pid: process.pid,
    user: userName(),
    command,
    since: new Date().toISOString(),
  });
  try {
    for (const one of wanted) held.push(await lock(one, about));
  } catch (error) {
    await release();
    throw error;
  }
  return { gap: null, release };
}

/** An account without an entry in the list of users has a number only. */
function userName(): string {
  try {
    return userInfo().username.slice(0, LONGEST_USER);
  } catch {
    return `user ${process.getuid?.() ?? 'unknown'}`;
  }
}

async function lock({ words, key }: Hardware, about: string): Promise<Server> {
  const name = lockName(key)!;
  for (let tries = 1; ; tries += 1) {
    const server = await bound(name, about);
    if (server) return server;
    const holder = await holderOf(name);
    if (holder !== null || tries === TRIES)
      throw new BenchInUse(words, holder ?? 'by a program that does not say who it is');
  }
}

/** Null on a platform without names that end with their owner. */
function lockName(key: string): string | null {
  const hash = createHash('sha256').update(key).digest('hex').slice(0, 40);
  if (process.platform === 'linux') return `\0ohmest-bench-${hash}`;
  if (process.platform === 'win32') return `\\\\.\\pipe\\ohmest-bench-${hash}`;
  return null;
}

/** Null when somebody has the name. */
function bound(name: string, about: string): Promise<Server | null> {
  const server = createServer((socket) => {
    socket.on('error', () => {});
    // Who asks and never hangs up must not keep the hold from ending.
    socket.unref();
    socket.end(about, () => socket.destroy());
  });
  // A run that is over must not stay for those who might still ask.
  server.unref();
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) =>
      error.code === 'EADDRINUSE' ? resolve(null) : reject(error),
    );
    server.listen({ path: name }, () => resolve(server));
  });
}

/** Who holds a name, in words; null when nobody does any more. */
function holderOf(name: string): Promise<string | null> {
  return new Promise((resolve) => {
    const socket = connect({ path: name });
    let text = '';
    const silent = () => resolve('by a program that does not say who it is');
    socket.setEncoding('utf8').setTimeout(LONGEST_ms, () => {
      silent();
      socket.destroy();
    });
    socket.on('data', (part) => {
      text += part;
      if (text.length > MOST_BYTES) socket.destroy();
    });
    socket.on('error', () => resolve(null));
    socket.on('close', () => {
      const holder = holderWords(text);
      if (holder === null) silent();
      else resolve(holder);
    });
  });
}

function holderWords(text: string): string | null {
  try {
    const { pid, user, command, since } = holderSchema.parse(JSON.parse(text));
    const plain = (words: string) => words.replaceAll(/\p{C}+/gu, ' ');
    return `${plain(command)} of the user ${plain(user)}, process ${pid}, since ${plain(since)}`;
  } catch {
    return null;
  }
}
