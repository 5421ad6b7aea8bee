import boardWords from 'virtual:words/board';
import sawWords from 'virtual:words/saw';
import walkWords from 'virtual:words/walk';
import youWords from 'virtual:words/you';
import { addWords } from '../src/words/choose.ts';

// A test takes a file of any surface without the surface.
for (const words of [boardWords, sawWords, walkWords, youWords]) addWords(words);
