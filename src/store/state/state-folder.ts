import { homedir } from 'node:os';
import { isAbsolute, join } from 'node:path';

/**
 * The folder in which ohmest keeps what must outlast a database: how warm loads are, which permits were signed and spent here. By the
 * XDG Base Directory Specification 0.8 (`$XDG_STATE_HOME`, else `~/.local/state`; a path that is not absolute does not count), on
 * Windows under `%LOCALAPPDATA%`, on macOS under `~/Library/Application Support` (the customs of these systems, from memory).
 */
export function stateFolder(
  env: NodeJS.ProcessEnv = process.env,
  platform: NodeJS.Platform = process.platform,
  home = homedir(),
): string {
  const given = env.XDG_STATE_HOME;
  if (given !== undefined && isAbsolute(given)) return join(given, 'ohmest');
  if (platform === 'win32') return join(env.LOCALAPPDATA ?? join(home, 'AppData', 'Local'), 'ohmest');
  if (platform === 'darwin') return join(home, 'Library', 'Application Support', 'ohmest');
  return join(home, '.local', 'state', 'ohmest');
}
