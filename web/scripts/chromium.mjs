// Debian's Chromium, or CHROMIUM, kept from calling anywhere but the page it is given, and from doing
// anything else: left alone it loads two panels of its address bar that nobody sees, which costs a
// busy machine as much as the app itself does.
export const idle = [
  'PaintHolding',
  'MediaRouter',
  'OptimizationHints',
  'HttpsUpgrades',
  'HttpsFirstBalancedModeAutoEnable',
  'NetworkTimeServiceQuerying',
  'AimEnabled',
  'PreconnectToSearch',
  'LensOverlay',
  'DestroyProfileOnBrowserClose',
  'WebUIOmniboxPopup',
  'WebUIOmniboxAimPopup',
];

export const chromiumHere = {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: [
    '--headless',
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    // The last of these given counts, so it takes the place of the driver's own.
    `--disable-features=${idle.join(',')}`,
  ],
};
