/** Fewest characters of a password: more than the 8 that NIST SP 800-63B-3 section 5.1.1.2 (from memory) asks for; 12 is our choice. */
export const PASSWORD_MIN = 12;

/** Most characters: SP 800-63B-3 asks for at least 64; a bound keeps the work of a sign-in small. */
export const PASSWORD_MAX = 256;

/** Passwords of twelve or more characters that guessers try first; from memory, common practice, no source. */
const COMMON = [
  'password',
  'passwort',
  'qwertyuiop',
  'qwertzuiop',
  'iloveyou',
  'letmein',
  'welcome',
  'trustno1',
  'administrator',
  'changeme',
  'sunshine',
  'princess',
  'football',
  'baseball',
  'stainwright',
  'laboratory',
  'microscope',
];

/**
 * The form in which a password is hashed and counted: Unicode NFKC (NIST SP 800-63B-3 section 5.1.1.2, from memory), so that the same
 * keys on two keyboards make the same bytes. `passwordForm('ﬁne')` is 'fine'.
 */
export function passwordForm(typed: string): string {
  return typed.normalize('NFKC');
}

/**
 * What speaks against a new password, in words that say what would be right; null when nothing does. Length, and what is
 * guessed first (NIST SP 800-63B-3 section 5.1.1.2, from memory); no rule about kinds of characters. `passwordFault('qwerty', 'ada')`
 * tells that it is too short.
 */
export function passwordFault(typed: string, login: string): string | null {
  const password = passwordForm(typed);
  const length = [...password].length;
  if (length < PASSWORD_MIN) return `it has ${length} characters; choose at least ${PASSWORD_MIN}, such as four words`;
  if (length > PASSWORD_MAX) return `it has ${length} characters; choose at most ${PASSWORD_MAX}`;
  const plain = password.toLowerCase();
  if (login.length >= 3 && remainder(plain, login.toLowerCase()) < PASSWORD_MIN / 2) {
    return 'it is little more than the login; choose words that have nothing to do with it';
  }
  if (new Set(plain).size < 5) return 'it repeats a few characters; choose at least five different ones';
  if (isSequence(plain)) return 'it is a sequence of neighbouring characters; choose words that nobody would continue';
  const common = COMMON.find((word) => remainder(plain, word) < PASSWORD_MIN / 2);
  if (common) return `it is little more than "${common}", which is guessed first; choose other words`;
  return null;
}

/** How many characters are left of a text when a word is taken out of it wherever it stands. */
function remainder(text: string, word: string): number {
  return text.includes(word) ? text.replaceAll(word, '').length : text.length;
}

function isSequence(text: string): boolean {
  const codes = [...text].map((character) => character.codePointAt(0) ?? 0);
  const steps = codes.slice(1).map((code, index) => code - (codes[index] ?? 0));
  const runs = steps.filter((step) => step === 1 || step === -1).length;
  return runs >= steps.length * 0.8;
}
