import { withReagentNames } from '../../core/gate/reagent-words.js';
import { useSession } from '../app/session.js';
import { useCatalogue } from './bench.js';

/** Texts of the gate as people read them: instants by the laboratory's clock, reagents by their names. */
export function useGateText(): (text: string) => string {
  const { format } = useSession();
  const { reagents } = useCatalogue();
  return (text) => format.within(withReagentNames(text, reagents));
}
