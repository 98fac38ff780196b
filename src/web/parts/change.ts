import { useMutation, type UseMutationResult } from '@tanstack/react-query';
import { useRef } from 'react';
import { credentials, Problem } from '../api.js';
import { WORDS } from '../words.js';
import { newId } from './ids.js';

/** One intent of a person: what to send, the key that all its tries share, and whose intent it is. */
interface Intent<Input> {
  input: Input;
  key: string;
  personId: string | null;
}

const LONGEST_WAIT_MS = 5_000;

function intent<Input>(input: Input): Intent<Input> {
  return { input, key: newId(), personId: credentials.personId };
}

/** Carries out an intent, unless somebody else has signed in since: nobody acts under another's name. */
function carryOut<Input, Output>(send: (input: Input, key: string) => Promise<Output>) {
  return ({ input, key, personId }: Intent<Input>): Promise<Output> => {
    if (personId !== credentials.personId) {
      return Promise.reject(new Problem(403, 'other-person', 'Not sent', WORDS.problem.elsewhere));
    }
    return send(input, key);
  };
}

/** Goes on trying while the cause may pass: no network, a restarting server, a session that is being renewed. */
const PERSISTENT = {
  networkMode: 'always',
  retry: (_tries: number, problem: Error) => problem instanceof Problem && problem.passing,
  retryDelay: (tries: number) => Math.min(500 * 2 ** tries, LONGEST_WAIT_MS),
} as const;

/** The same for two inputs that ask for the same. */
function meantBy(input: unknown): string {
  return JSON.stringify([input], (_key, value: unknown) =>
    value instanceof File ? [value.name, value.size, value.lastModified] : value,
  );
}

/**
 * A change that a person asks for, tried with one key until the server has answered. Asked for again meanwhile it is the
 * same wish, such as of a hand that presses twice before the button is seen to wait.
 */
export function useChange<Input, Output>(
  send: (input: Input, key: string) => Promise<Output>,
  onDone?: (output: Output, input: Input) => unknown,
): Omit<UseMutationResult<Output, Error, Intent<Input>>, 'mutate'> & { ask: (input: Input) => void } {
  const underWay = useRef(new Set<string>());
  const mutation = useMutation<Output, Error, Intent<Input>>({
    ...PERSISTENT,
    mutationFn: carryOut(send),
    onSuccess: (output, { input }) => onDone?.(output, input),
    onSettled: (_output, _problem, { input }) => void underWay.current.delete(meantBy(input)),
  });
  const ask = (input: Input): void => {
    const meant = meantBy(input);
    if (underWay.current.has(meant)) return;
    underWay.current.add(meant);
    mutation.mutate(intent(input));
  };
  return { ...mutation, ask };
}
