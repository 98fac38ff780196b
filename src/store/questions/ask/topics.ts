import type { TopicName } from '../../../core/ask/topics.js';
import { day } from './day.js';
import { instrument } from './instrument.js';
import { lot } from './lot.js';
import { person } from './person.js';
import { protocol } from './protocol.js';
import { specimen } from './specimen.js';
import type { Topic } from './topic.js';

export const TOPIC: Readonly<Record<TopicName, Topic>> = { day, protocol, lot, person, specimen, instrument };
