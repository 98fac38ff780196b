#!/usr/bin/env node
import { Command, CommanderError, Option } from 'commander';
import { COMPUTATIONS } from './cli/computations.js';
import { CHAIN_CHOICES, IDENTIFIER_CHOICES } from './core/pack/choices.js';
import type { BackupOptions } from './cli/backup/make.js';
import type { RestoreOptions } from './cli/backup/restore.js';
import type { RunStart, Server } from './cli/run.js';
import type { Simulation } from './cli/simulate.js';
import type { PackOptions } from './cli/pack.js';
import type { VerifyOptions } from './cli/verify.js';

/** Someone typed what this program does not understand, as opposed to what it found when it did its work. */
const USAGE = 2;

/** Each command's file is loaded only when it is asked for: a computation needs no server, and starts at once. */
const program = new Command('stainwright')
  .description('Stain and reagent protocol manager: computations, checks, the record and runs from the command line.')
  .exitOverride()
  .showHelpAfterError('(stainwright --help lists the commands)');

program
  .command('compute')
  .description('answer JSON cases, one a line on standard input, with one JSON result a line')
  .argument('<name>', `what to compute: ${Object.keys(COMPUTATIONS).join(', ')}`)
  .action(async (name: string) => (await import('./cli/compute.js')).compute(name));

program
  .command('protocol')
  .description('look at protocol files')
  .command('check')
  .description('check protocol files and tell every problem with its line and column')
  .argument('<files...>', 'YAML files; catalogue.yaml and sources.yaml beside them are used, else the shipped ones')
  .action(async (files: string[]) => (await import('./cli/protocol-check.js')).protocolCheck(files));

withDatabase(program.command('verify'))
  .description('check the record: the chain, every row that it names, every released verdict, and the checkpoints')
  .option('--checkpoints <file>', 'checkpoints that were kept elsewhere; else those that are kept here')
  .option('--files <folder>', 'folder of the kept files; else the one beside the database')
  .option('--public-key <files...>', 'public keys that are trusted, in PEM; else those in the data folder')
  .action(async (options: VerifyOptions) => (await import('./cli/verify.js')).verify(options));

withDatabase(program.command('backup'))
  .description('write database, files, public keys and checkpoints into one file, while the program may go on running')
  .requiredOption('--out <file>', 'the file to write, a zip; it must not be there yet')
  .option('--with-signing-key', 'put in the key that signs checkpoints as well, which is better kept apart')
  .action(async (options: BackupOptions) => (await import('./cli/backup/make.js')).backup(options));

program
  .command('restore')
  .description('bring a backup back into a new folder, and check it as verify does')
  .requiredOption('--from <file>', 'the backup')
  .requiredOption('--data <folder>', 'data folder to be made; nothing is restored over what is there')
  .option('--database <address>', 'empty postgres:// database, for a backup of PostgreSQL')
  .action(async (options: RestoreOptions) => (await import('./cli/backup/restore.js')).restore(options));

const checkpoints = () => import('./cli/checkpoint.js');
const checkpoint = withDatabase(program.command('checkpoint'))
  .description('sign now how far the record goes')
  .action(async (options: { database?: string }) => (await checkpoints()).checkpoint(options));
checkpoint
  .command('rotate')
  .description('make the next key, and sign with the old one that it hands over')
  .action(async (_options: object, command: Command) => (await checkpoints()).rotate(command.optsWithGlobals()));
checkpoint
  .command('export')
  .description('write every checkpoint, one a line')
  .option('--to <file>', 'file to write; else standard output')
  .action(async (_options: object, command: Command) =>
    (await checkpoints()).exportCheckpoints(command.optsWithGlobals()),
  );
checkpoint
  .command('keys')
  .description('write the public keys, in PEM')
  .option('--to <file>', 'file to write; else standard output')
  .action(async (options: { to?: string }) => (await checkpoints()).exportKeys(options));

withDatabase(program.command('record').description('the record itself').command('export'))
  .description('write every entry and checkpoint, one a line, and the public keys, for a check without this program')
  .requiredOption('--to <folder>', 'empty folder, or one to be made')
  .action(async (options: { database?: string; to: string }) =>
    (await import('./cli/record-export.js')).recordExport(options),
  );

withDatabase(program.command('pack'))
  .description('write an evidence pack as a folder: records of a period, what proves them, and how to check it')
  .requiredOption('--out <folder>', 'empty folder, or one to be made')
  .requiredOption('--from <day>', 'first day, such as 2026-11-01')
  .requiredOption('--to <day>', 'last day, itself included')
  .addOption(
    new Option('--identifiers <choice>', "what becomes of patients' identifiers and free words")
      .choices(IDENTIFIER_CHOICES)
      .default('masked'),
  )
  .addOption(
    new Option('--chain <choice>', 'all of the chain, or that of the period').choices(CHAIN_CHOICES).default('whole'),
  )
  .option('--protocol <id...>', 'only runs of these protocols')
  .option('--person <id...>', 'only runs that these people started')
  .option('--lot <id...>', 'only runs that used these lots')
  .option('--run <id...>', 'only these runs')
  .option('--show <run...>', 'runs whose report and pictures go in')
  .action(async (options: PackOptions) => (await import('./cli/pack.js')).pack(options));

withDatabase(program.command('stock').description('look at stock').command('simulate'))
  .description('replay a year under the reorder policy: service level, stock-outs, waste')
  .option('--reagent <code>', 'replay what the ledger says was used of it, under its own policy')
  .option('--mean <amount>', 'else demand of a day', '20')
  .option('--sd <amount>', 'its standard deviation', '5')
  .option('--lead-days <days>', 'days from order to use', '9')
  .option('--lead-sd-days <days>', 'their standard deviation', '0')
  .option('--service-level <share>', 'share of orders that come in time', '0.95')
  .option('--cover-days <days>', 'days an order should last', '14')
  .option('--pack-size <amount>', 'what a pack holds', '1')
  .option('--minimum-order <amount>', 'the least that is sent', '1')
  .option('--shelf-life-days <days>', 'days of use on arrival; without it nothing expires')
  .option('--years <count>', 'years of invented demand', '1')
  .option('--seed <number>', 'the same seed repeats a replay', '1')
  .action(async (options: Simulation) => (await import('./cli/simulate.js')).simulate(options));

const run = program.command('run').description('act on runs of a server that runs, as a person');
const SERVER = [
  new Option('--url <address>', 'address of the server').default('http://127.0.0.1:4180'),
  new Option('--login <name>', 'sign in as this person'),
  new Option('--password-file <file>', "file with the person's password; - reads standard input"),
];
/** A device reads; what is done at a bench is done by a person. */
const TOKEN = new Option('--token <token>', 'ask as the device with this token').conflicts(['login', 'passwordFile']);
const runs = () => import('./cli/run.js');

withServer(run.command('start'))
  .description('start a run and print its id')
  .requiredOption('--protocol <id>', 'protocol whose revision in force is run')
  .requiredOption('--station <name>', "bench place, such as 'H&E line'")
  .option('--purpose <purpose>', 'patients, acceptance or training', 'patients')
  .option('--subject <label...>', "labels of the patients' specimens or slides")
  .option('--control <control=label...>', 'labels of control material, each with the requirement that it answers')
  .action(async (options: RunStart) => (await runs()).start(options));
withServer(run.command('step-start <run> <step>'))
  .description('start a step now')
  .option('--again', 'the step was done before and is done once more')
  .action(async (id: string, step: string, options: Server & { again?: true }) =>
    (await runs()).stepStart(id, step, options),
  );
withServer(run.command('step-end <run> <step>'))
  .description('end a step now')
  .action(async (id: string, step: string, options: Server) => (await runs()).stepEnd(id, step, options));
withServer(run.command('show <run>'))
  .addOption(TOKEN)
  .description('print where a run stands')
  .action(async (id: string, options: Server) => (await runs()).show(id, options));

program
  .command('demo')
  .description(
    'play an invented laboratory: one bedside run that clears, one that is held, and the check of the record',
  )
  .option('--keep <folder>', 'empty folder in which the database is left')
  .action(async (options: { keep?: string }) => (await import('./cli/demo.js')).demo(options));

program
  .command('openapi')
  .description('print the OpenAPI document of the HTTP API')
  .action(async () => (await import('./cli/openapi.js')).openapi());

program.parseAsync().then(
  (): void => undefined,
  (error: unknown) => {
    if (error instanceof CommanderError) {
      process.exitCode = error.exitCode === 0 ? 0 : USAGE;
      return;
    }
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    process.exitCode = 1;
  },
);

function withDatabase(command: Command): Command {
  return command.option('--database <address>', 'SQLite file or postgres:// address; else what the environment says');
}

function withServer(command: Command): Command {
  for (const option of SERVER) command.addOption(option);
  return command;
}
