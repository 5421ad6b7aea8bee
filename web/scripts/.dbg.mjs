import { chromium } from 'playwright-core';
const b = await chromium.launch({executablePath:'/usr/bin/chromium',args:['--headless','--no-sandbox','--disable-gpu']});
const c = await b.newContext(); 
await c.request.post('http://127.0.0.1:8471/api/v1/session',{data:{sign_in:'marco',passphrase:'chalk line plumb bob'}});
const p = await c.newPage(); p.on('pageerror',e=>console.log(e.stack.split('\n').slice(0,14).join('\n')));
await p.goto('http://127.0.0.1:8471/'); await p.waitForTimeout(1500); await b.close();
