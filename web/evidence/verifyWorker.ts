import '../jitless.ts';
import { listen } from './listen.ts';

listen();
