# A stand-in for the proxy's official image where none can be pulled: Debian's own program, the same paths.
FROM longpoint-standin-root
ENV XDG_DATA_HOME=/data XDG_CONFIG_HOME=/config
COPY caddy /usr/bin/caddy
CMD ["caddy", "run", "--config", "/etc/caddy/Caddyfile", "--adapter", "caddyfile"]
