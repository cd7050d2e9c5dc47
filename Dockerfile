# The same npm scripts as on any machine: install, build, start.
FROM node:22-bookworm-slim
WORKDIR /srv/acral
COPY . .
RUN npm install && npm run build
RUN useradd --system --home /srv/acral acral && mkdir -p /data && chown -R acral /data /srv/acral
USER acral
ENV HOST=0.0.0.0 PORT=3000 ACRAL_DATA_DIR=/data
VOLUME /data
EXPOSE 3000
CMD ["npm", "start"]
