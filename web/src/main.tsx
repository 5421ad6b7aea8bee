import { render } from 'preact';
import { App } from './app.tsx';
import './look/look.css';
import { startRouter } from './router.ts';
import { showTheme } from './theme.ts';

showTheme();
startRouter();
const root = document.getElementById('app');
if (root !== null) render(<App />, root);
