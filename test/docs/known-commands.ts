import { expect } from 'vitest';
import { ohmest } from '../cli/ohmest.js';
import { mentions } from './command-blocks.js';

const helps = new Map<string, Promise<string>>();

async function askForHelp(command: string): Promise<string> {
  const { status, stdout } = await ohmest([command, '--help']);
  return status === 0 && stdout.startsWith(`Usage: ohmest ${command} `) ? stdout : '';
}

/** What `ohmest COMMAND --help` prints, asked once; empty where there is no such command. */
function helpOf(command: string): Promise<string> {
  const known = helps.get(command) ?? askForHelp(command);
  helps.set(command, known);
  return known;
}

/** Holds a text to naming only commands of ohmest that exist, with options that they have. */
export async function expectKnown(text: string): Promise<void> {
  for (const { command, options } of mentions(text)) {
    const help = await helpOf(command);
    expect(help, `there is no command ${command}`).not.toBe('');
    for (const option of options)
      expect(help, `${command} has no ${option}`).toMatch(new RegExp(`(^|[ ,])${option}([ ,]|$)`, 'm'));
  }
}
