import type { Problem } from '../refusal.js';
import type { Instant } from '../time/instant.js';
import type { Finding, Weight } from './finding.js';
import { type Rule, type RuleCode, type RuleLimit, RULES, ruleOf } from './rules.js';

/** How a laboratory makes one of the gate's rules stricter than the program has it. */
export interface TightenedRule {
  rule: string;
  /** It weighs at least this. */
  weight?: 'caution' | 'stop';
  /** No exception may let a result out over it. */
  neverExcused?: true;
  /** Numbers of the rule, by the names that it gives them. */
  limits?: { name: string; value: number }[];
}

/** What a laboratory tightens, whole: a rule that is not named stands as the program has it. */
export interface GatePolicy {
  rules: readonly TightenedRule[];
}

/** Of a laboratory that tightened nothing. */
export const NO_POLICY: GatePolicy = { rules: [] };

/** A signed revision of the policy. */
export interface SignedPolicy {
  id: string;
  seq: number;
  number: number;
  effectiveFrom: Instant;
  content: GatePolicy;
}

/** The policy that counts at an instant: of those effective by then the one signed last; null when there is none. */
export function policyInForce<P extends Pick<SignedPolicy, 'seq' | 'effectiveFrom'>>(
  signed: readonly P[],
  at: Instant,
): P | null {
  return signed
    .filter(({ effectiveFrom }) => effectiveFrom <= at)
    .reduce<P | null>((last, each) => (last && last.seq > each.seq ? last : each), null);
}

const ORDER: Record<Weight, number> = { note: 0, caution: 1, stop: 2 };

/** What a rule weighs at least, whatever the step: 'by step' begins at a note. */
function leastWeight({ weight }: Rule): Weight {
  return weight === 'by step' ? 'note' : weight;
}

/**
 * The finding as the laboratory's policy weighs it; never lighter than the program does.
 * Under `{rules: [{rule: 'entered-late', weight: 'caution'}]}` a note that an event was entered late becomes a caution.
 */
export function underPolicy(found: Finding, policy: GatePolicy): Finding {
  const own = policy.rules.find(({ rule }) => rule === found.rule);
  if (!own) return found;
  const weight = own.weight && ORDER[own.weight] > ORDER[found.weight] ? own.weight : found.weight;
  return { ...found, weight, excusable: found.excusable && own.neverExcused !== true };
}

/** The number of a rule as it counts under a policy; null where neither the rule nor the policy sets one. */
export function limitUnder(code: RuleCode, name: string, { rules }: GatePolicy): number | null {
  const limit = limitsOf(RULES[code]).get(name);
  const own = rules.find(({ rule }) => rule === code)?.limits?.find((each) => each.name === name)?.value;
  if (!limit || own === undefined) return limit?.value ?? null;
  return limit.value === null || isStricter(own, limit.value, limit) ? own : limit.value;
}

function limitsOf({ limits = {} }: Rule): Map<string, RuleLimit> {
  return new Map(Object.entries(limits));
}

function isStricter(one: number, other: number, { stricter }: Pick<RuleLimit, 'stricter'>): boolean {
  return stricter === 'less' ? one < other : one > other;
}

/** A rule as it counts under a policy. */
export interface RuleUnderPolicy {
  weight: Rule['weight'];
  /** What it weighs at least, whatever the step. */
  least: Weight;
  excusable: boolean;
  limits: (RuleLimit & { name: string; counts: number | null })[];
  tightened: boolean;
}

/** What a rule weighs under a policy, whether an exception can let out over it, and its numbers. */
export function ruleUnder(code: RuleCode, policy: GatePolicy): RuleUnderPolicy {
  const rule: Rule = RULES[code];
  const own = policy.rules.find((each) => each.rule === code);
  const floor = leastWeight(rule);
  const least = own?.weight && ORDER[own.weight] > ORDER[floor] ? own.weight : floor;
  return {
    weight: rule.weight === 'by step' && least !== 'stop' ? 'by step' : least,
    least,
    excusable: rule.excusable && own?.neverExcused !== true,
    limits: [...limitsOf(rule)].map(([name, limit]) => ({
      name,
      ...limit,
      counts: limitUnder(code, name, policy),
    })),
    tightened: own !== undefined,
  };
}

/** What is wrong with a policy: unknown or repeated rules, and whatever would make a rule weaker than the program has it. */
export function checkPolicy({ rules }: GatePolicy): Problem[] {
  const problems = rules.flatMap((own, n): Problem[] => {
    const rule = ruleOf(own.rule);
    if (!rule) {
      return [
        {
          at: `rules.${n}.rule`,
          message: `the gate has no rule "${own.rule}"; take a code from the list of its rules`,
        },
      ];
    }
    const again = rules.findIndex((each) => each.rule === own.rule) < n;
    return [
      ...(again
        ? [{ at: `rules.${n}.rule`, message: `${named(rule, own.rule)} stands here twice; say all of it once` }]
        : []),
      ...weightProblems(own, rule, `rules.${n}`),
      ...excuseProblems(own, rule, `rules.${n}`),
      ...limitProblems(own, rule, `rules.${n}.limits`),
      ...emptyProblems(own, rule, `rules.${n}`),
    ];
  });
  const [short, long] = (['fixation-short', 'fixation-long'] as const).map((code) =>
    limitUnder(code, 'hours', { rules }),
  );
  if (problems.length === 0 && short != null && long != null && short > long) {
    problems.push({
      at: 'rules',
      message: `no tissue can be fixed for at least ${short} h and at most ${long} h; let the shortest time lie below the longest`,
    });
  }
  return problems;
}

/** A rule as the page names it, with the code that a file and the API take. */
function named({ title }: Rule, code: string): string {
  return `${title} (${code})`;
}

function weightProblems({ rule: code, weight }: TightenedRule, rule: Rule, at: string): Problem[] {
  if (weight === undefined) return [];
  const least = leastWeight(rule);
  if (ORDER[weight] > ORDER[least]) return [];
  const message =
    weight === least
      ? `${named(rule, code)} weighs ${least} already; leave its weight out`
      : `${named(rule, code)} weighs ${least}, and a policy can only make a rule stricter, never a ${weight} of a ${least}`;
  return [{ at: `${at}.weight`, message }];
}

function excuseProblems({ rule: code, weight, neverExcused }: TightenedRule, rule: Rule, at: string): Problem[] {
  if (!neverExcused) return [];
  if (!rule.excusable) {
    return [{ at: `${at}.neverExcused`, message: `no exception goes over ${named(rule, code)} anyway; leave it out` }];
  }
  const counts = weight ?? leastWeight(rule);
  if (counts === 'stop' || rule.weight === 'by step') return [];
  const message = `${named(rule, code)} weighs ${counts}, which needs no exception; make it a stop as well`;
  return [{ at: `${at}.neverExcused`, message }];
}

function limitProblems({ rule: code, limits = [] }: TightenedRule, rule: Rule, at: string): Problem[] {
  return limits.flatMap(({ name, value }, n): Problem[] => {
    const limit = limitsOf(rule).get(name);
    const place = `${at}.${n}`;
    if (!limit) {
      const names = [...limitsOf(rule).keys()].join(', ');
      return [{ at: place, message: `${named(rule, code)} has no number "${name}"; it has ${names || 'none'}` }];
    }
    if (limits.findIndex((each) => each.name === name) < n) {
      return [{ at: place, message: `"${name}" stands here twice; say it once` }];
    }
    if (!Number.isFinite(value) || value <= 0 || value > MOST[limit.unit]) {
      return [
        {
          at: place,
          message: `${value} ${limit.unit} is no limit; give a number above 0 and up to ${MOST[limit.unit]}`,
        },
      ];
    }
    if (limit.value === null || isStricter(value, limit.value, limit)) return [];
    const message = `${named(rule, code)} has ${limit.value} ${limit.unit}; a policy can only make it stricter, which is ${limit.stricter === 'less' ? 'less' : 'more'}`;
    return [{ at: place, message }];
  });
}

/** A year, which no such limit reaches. */
const MOST = { min: 527_040, h: 8784 };

function emptyProblems(
  { rule: code, weight, neverExcused, limits = [] }: TightenedRule,
  rule: Rule,
  at: string,
): Problem[] {
  if (weight || neverExcused || limits.length > 0) return [];
  return [
    { at, message: `nothing is said of ${named(rule, code)}; give a weight, a number or that it is never excused` },
  ];
}

/** Codes of the rules that a policy has less strict than the one before it, in the order of the one before. */
export function easedRules(before: GatePolicy, after: GatePolicy): string[] {
  return before.rules.flatMap(({ rule: code }) => {
    if (!ruleOf(code)) return [];
    const [was, is] = [ruleUnder(code as RuleCode, before), ruleUnder(code as RuleCode, after)];
    const looser = is.limits.some(({ counts, ...limit }, n) => {
      const earlier = was.limits[n]?.counts ?? null;
      return earlier !== null && (counts === null || isStricter(earlier, counts, limit));
    });
    return ORDER[is.least] < ORDER[was.least] || (is.excusable && !was.excusable) || looser ? [code] : [];
  });
}
