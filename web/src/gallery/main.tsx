import { render } from 'preact';
import '../look/look.css';
import { showTheme } from '../theme.ts';
import './gallery.css';
import { Gallery } from './gallery.tsx';
import { screens } from './screens.tsx';

showTheme();
const root = document.getElementById('gallery');

function show(): void {
  if (root === null) return;
  render(null, root);
  const Screen = screens[location.hash.slice(1)];
  render(Screen === undefined ? <Gallery /> : <Screen />, root);
}

addEventListener('hashchange', show);
show();
