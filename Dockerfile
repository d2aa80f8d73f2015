# The site as a container: gunicorn behind a proxy of yours that answers https. compose.yaml runs it.
FROM python:3.11-slim

ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1
RUN useradd --system --uid 10001 --no-create-home stillacross \
    && install --directory --owner=stillacross /data/media /data/backups
WORKDIR /app
COPY requirements.txt .
RUN pip install --no-cache-dir --disable-pip-version-check -r requirements.txt
COPY . .

ENV DEBUG=off MEDIA_ROOT=/data/media
# Static files are collected under a key that serves nothing else.
RUN SECRET_KEY=only-while-the-image-is-built python manage.py collectstatic --no-input --verbosity 0
USER stillacross
EXPOSE 8000
# Asked as the proxy asks: by a name of the site, over https.
HEALTHCHECK --interval=30s --timeout=5s --start-period=60s CMD ["python", "-c", "import os, urllib.request as r; r.urlopen(r.Request('http://127.0.0.1:8000/healthz', headers={'Host': os.environ['ALLOWED_HOSTS'].split(',')[0], 'X-Forwarded-Proto': 'https'}), timeout=4)"]
CMD ["gunicorn", "config.wsgi:application", "--bind=0.0.0.0:8000", "--workers=3", "--threads=4", "--timeout=120", "--worker-tmp-dir=/dev/shm", "--no-control-socket"]
