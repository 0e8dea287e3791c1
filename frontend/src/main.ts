import './look/faces.css';
import './look/tokens.css';
import './look/base.css';
import { mount } from 'svelte';
import App from './App.svelte';

const target = document.getElementById('app');
if (target) mount(App, { target });

// on the laptop itself the pages stay openable where the program was stopped; on a phone no browser allows it over http
if ('serviceWorker' in navigator && ['localhost', '127.0.0.1'].includes(location.hostname) && import.meta.env.PROD) {
  addEventListener('load', () => void navigator.serviceWorker.register('/sw.js').catch(() => undefined));
}
