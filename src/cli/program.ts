import { Command, CommanderError, Help, Option } from 'commander';
import { OhmestError } from '../errors/ohmest-error.js';
import { visibleName } from '../units/visible-text.js';
import { ownVersion } from './terminal/own-version.js';
import { processTerminal } from './terminal/terminal.js';

/** A command's work, loaded only when it is asked for, so that `--help` stays quick. */
type Work = (...args: never[]) => Promise<number>;

const terminal = processTerminal();

/**
 * The options of a command. `benchTyped` says that its bench was named in the command itself, which is what it takes to have the
 * programs of a bench file started.
 */
function given(args: readonly unknown[]): object {
  const command = args.at(-1) as Command;
  return { ...(args.at(-2) as object), benchTyped: command.getOptionValueSource('bench') === 'cli' };
}

/** Wraps a command so that its exit status, or that of the error of ours that it throws, becomes that of the process. */
function action(load: () => Promise<Work>) {
  return async (...args: unknown[]): Promise<void> => {
    const options = args.at(-2) as { json?: boolean };
    const work = await load();
    try {
      process.exitCode = await work(...([terminal, ...args.slice(0, -2), given(args)] as never[]));
    } catch (error) {
      if (!(error instanceof OhmestError)) throw error;
      const { reportFailure } = await import('./terminal/fail.js');
      process.exitCode = reportFailure(error, terminal, options.json === true);
    }
  };
}

/** A message of commander's, in which what was typed keeps to its line. */
const asTyped = (text: string): string =>
  process.argv
    .slice(2)
    .reduce((said, word) => (word === '' ? said : said.replaceAll(word, () => visibleName(word))), text);

const program = new Command('ohmest')
  .description(
    'Measure the continuous power of an amplifier into dummy loads: up to clipping, at 0.1 % and 1 % THD+N, across the band.',
  )
  .version(ownVersion())
  .configureHelp({
    optionDescription(option) {
      const description = Help.prototype.optionDescription.call(this, option);
      return option.mandatory ? `${description} (required)` : description;
    },
  })
  .configureOutput({
    writeOut: (text) => terminal.out(text.trimEnd()),
    writeErr: (text) => terminal.err(asTyped(text.trimEnd())),
  })
  .showHelpAfterError('(ohmest --help lists the commands, ohmest COMMAND --help explains one)')
  .exitOverride();

const DB = 'ohmest.db';
const json = ['--json', 'print one JSON document on stdout, nothing else'] as const;
const db = ['--db <file>', 'database of runs', DB] as const;
const bench = ['--bench <bench>', 'bench file, or the name of a shipped bench'] as const;
const claim = [
  '--claim <claim>',
  "published rating, as in '100 W, 8 ohm, 1 % THD+N, 1 kHz, 2 channels', or a claim file",
] as const;
const live = [
  '--live [port]',
  'serve a live page to browsers on this machine; it can stop the run; default: any free port',
] as const;
const verbose = ['--verbose', 'list everything that is assumed instead of counting it'] as const;
const failOn = () =>
  new Option('--fail-on <answer>', 'exit status 1 when a claim is not met or a check failed').choices([
    'not-met',
  ]);
const otherClaim = [
  '--claim <claim>',
  'judge this claim too, as text or a claim file; it is not stored',
] as const;

program
  .command('demo')
  .description('run a full measurement on a simulated bench: run, database, report')
  .option('--out <folder>', 'folder for the database and the report', 'ohmest-demo')
  .option(...json)
  .action(action(async () => (await import('./run/demo.js')).demo));

program
  .command('devices')
  .description('list the sound devices that can play and record')
  .option(...json)
  .action(action(async () => (await import('./look/devices.js')).devices));

program
  .command('bench <bench>')
  .description('show a bench: signal chain, measuring range, ratings, calibration due dates; plays nothing')
  .option('--for <unit>', "check the bench for a unit of this power, as in '150 W 8 ohm'")
  .option(...json)
  .action(action(async () => (await import('./look/bench.js')).bench));

program
  .command('plan <sequence>')
  .description(
    'show what a sequence will do on a bench: points, time, peak volts and amps, heat, hazards; plays nothing',
  )
  .requiredOption(...bench)
  .option(...claim)
  .option(...json)
  .action(action(async () => (await import('./run/plan.js')).plan));

program
  .command('run <sequence>')
  .description('run a sequence on a bench and store the run')
  .requiredOption(...bench)
  .requiredOption('--unit <label>', 'label of the unit under test')
  .option(...claim)
  .option(...db)
  .option('--permit <id>', 'run unattended under this permit; no questions are asked')
  .option('--captures', 'keep the raw samples of every point, beside the database')
  .option(...live)
  .option('--report <file>', 'write an HTML report to this file when the run ends')
  .option(...verbose)
  .option(...json)
  .addOption(failOn())
  .action(action(async () => (await import('./run/run.js')).run));

program
  .command('resume <run>')
  .description('resume an interrupted run; completed points are kept, the warm-up is repeated')
  .option(
    '--bench <bench>',
    'unchanged bench file of the run; default: found by its content; programs that it starts must be confirmed',
  )
  .option(...db)
  .option('--permit <id>', 'run unattended under this permit; no questions are asked')
  .option(...live)
  .option('--report <file>', 'write an HTML report to this file when the run ends')
  .option(...verbose)
  .option(...json)
  .addOption(failOn())
  .action(action(async () => (await import('./run/resume.js')).resume));

program
  .command('permit <sequence>')
  .description('go through the checklist in person and sign a permit for one unattended run; plays nothing')
  .requiredOption(...bench)
  .option(...claim)
  .option(...db)
  .option(
    '--expires <time>',
    "the run must start within this time, as in '30 min' or '2 d', at most '7 d'",
    '12 h',
  )
  .option(...json)
  .action(action(async () => (await import('./run/permit.js')).permit));

program
  .command('permits')
  .description('list the permits in a database, and the run that used each')
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./run/permits.js')).permits));

program
  .command('calibrate <what>')
  .description(
    'calibrate output, input, attenuator, load, floor (residual of the bench) or response, guided and resumable; writes a dated record',
  )
  .requiredOption(...bench)
  .option('--channel <number...>', 'bench channels to calibrate; default: all')
  .option('--load <ohms>', "which load, as in '8 ohm'; default: every load of the channel")
  .option('--accuracy <limits>', "accuracy of the meter in this range, as in '0.5 % + 3 counts'")
  .option('--resolution <step>', "last digit of the meter in this range, as in '1 mV'")
  .option('--metered', 'input, response: also read the output voltage with the meter')
  .option('--loop-only', 'response: no meter; output and input share the deviation of the loop (default)')
  .option('--hot', 'load: also read it hot, for its temperature coefficient')
  .option('--inductance', 'load: also read its impedance at two frequencies, on a bridge')
  .option('--temperature <degrees>', "temperature of the room or load, as in '23 °C'")
  .option('--level <levels>', "levels in dB relative to full scale, as in '-20, -6, -1 dB'")
  .option('--frequency <frequencies>', "floor, response: frequencies, as in '20 Hz, 1 kHz, 20 kHz'")
  .option('--into <folder>', "folder for the record; default: 'calibration' beside the bench file")
  .option('--name <family>', 'name of the record without its date')
  .option('--by <name>', 'name of the person calibrating')
  .option('--instrument <text>', 'make and model of the meter, for the record')
  .option('--serial <text>', 'serial number of the meter')
  .option('--due <day>', 'day on which the calibration is due, as in 2027-03-01')
  .option(
    '--months <number>',
    'months until it is due, instead of --due; default: 12, none for a simulated bench',
  )
  .option(...json)
  .action(action(async () => (await import('./calibrate/calibrate.js')).calibrate));

program
  .command('claim <claims...>')
  .description('restate a published rating on other terms, or compare several; text or a claim file')
  .option('--as <terms>', "requested terms, as in '8 ohm' or '8 ohm, 0.1 %'")
  .option(...json)
  .action(action(async () => (await import('./look/claim.js')).claim));

program
  .command('analyse <file>')
  .description('measure level, THD+N and harmonics of each channel of a WAV file')
  .option('--band <low:high>', 'measuring band, as in 20:20000 or "20 Hz:20 kHz"')
  .option('--frequency <frequency>', 'frequency of the test tone; default: searched for')
  .option('--bench <bench>', 'bench whose scale converts samples to volts at the load')
  .option(...json)
  .action(action(async () => (await import('./look/analyse.js')).analyseFile));

program
  .command('runs')
  .description('list the runs in a database')
  .option(...db)
  .option('--unit <label>', 'list only runs of this unit')
  .option(...json)
  .action(action(async () => (await import('./look/runs.js')).runs));

program
  .command('show <run>')
  .description('show the results of a run')
  .option('--details', 'also print the conditions and every figure')
  .option('--budget', 'show the uncertainty budget of each result instead')
  .option('--remeasure', 'recompute the readings from the stored captures and show what changed')
  .option(...otherClaim)
  .option(...db)
  .option(...json)
  .addOption(failOn())
  .action(action(async () => (await import('./look/show.js')).show));

program
  .command('compare <run...>')
  .description('compare runs with the first of them: conditions, verdicts, differences with uncertainty')
  .option(...otherClaim)
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./look/compare.js')).compare));

program
  .command('report <run...>')
  .description('write one or several runs as one self-contained HTML page')
  .requiredOption('-o, --output <file>', 'output file')
  .option(...otherClaim)
  .option(...db)
  .action(action(async () => (await import('./look/report.js')).report));

program
  .command('browse')
  .description('serve the runs, reports and comparisons of a database to browsers on this machine; read-only')
  .option(...db)
  .option('--port <port>', 'port to serve on; default: any free port')
  .option(...json)
  .action(action(async () => (await import('./look/browse.js')).browse));

program
  .command('export <run>')
  .description('write the readings or results of a run as CSV, or the whole run as JSON')
  .requiredOption('--format <format>', 'csv, results-csv, columns or json')
  .option('-o, --output <file>', 'output file; default: stdout')
  .option(...db)
  .action(action(async () => (await import('./look/export.js')).exportRun));

program
  .command('bundle <run>')
  .description('pack a run with its bench, sequence and calibration into one file, for another database')
  .requiredOption('-o, --output <file>', 'output file, as in run-7.ohmest')
  .option('--captures', 'include the stored raw samples')
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./share/bundle.js')).bundle));

program
  .command('import <file>')
  .description('add a run from a bundle to a database, under a new number')
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./share/import.js')).importFile));

try {
  await program.parseAsync();
} catch (error) {
  if (!(error instanceof CommanderError)) throw error;
  // Commander has already said what is wrong; asking for help or version is no error.
  process.exitCode = error.exitCode === 0 ? 0 : 2;
  if (error.exitCode !== 0 && process.argv.includes('--json'))
    terminal.out(JSON.stringify({ error: { code: 'USAGE', what: error.message.replace(/^error: /, '') } }));
}
