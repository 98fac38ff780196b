/** What `pattern`, such as '/room/:station', finds in a path; null when it does not fit. */
export function match(pattern: string, path: string): Record<string, string> | null {
  const [wanted, given] = [pattern, path].map((each) => each.replace(/\/+$/, '').split('/'));
  if (!wanted || !given || wanted.length !== given.length) return null;
  const found: Record<string, string> = {};
  for (const [n, part] of wanted.entries()) {
    const is = decoded(given[n] ?? '');
    if (is === null) return null;
    if (part.startsWith(':')) found[part.slice(1)] = is;
    else if (part !== is) return null;
  }
  return found;
}

function decoded(part: string): string | null {
  try {
    return decodeURIComponent(part);
  } catch {
    // Mistyped percent signs lead nowhere.
    return null;
  }
}
