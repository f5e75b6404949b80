# The daemon in a container: docker build -t dancerwatch .
#   docker run --read-only --cap-drop ALL --security-opt no-new-privileges --tmpfs /run/dancerwatch:uid=64198,mode=0700 \
#     -v dancerwatch:/var/lib/dancerwatch -v /etc/dancerwatch:/etc/dancerwatch:ro dancerwatch
# It needs to reach the controllers (TCP 44818) and the broker, and listens to nothing. packaging/try-image.sh takes these
# steps where no container engine runs.
ARG SDK=mcr.microsoft.com/dotnet/sdk:10.0
# Of the same family, for its C library: what the native program needs, OpenSSL among it, and no .NET.
ARG BASE=mcr.microsoft.com/dotnet/runtime-deps:10.0

FROM ${SDK} AS build
RUN apt-get update && apt-get install --yes --no-install-recommends clang
WORKDIR /source
COPY . .
# CI: exactly the packages of the lock files, or no image.
RUN CI=true packaging/program.sh linux-x64

FROM ${BASE}
COPY --from=build /source/artifacts/linux-x64/dancerwatch /usr/bin/dancerwatch
# A number, so that "must not run as root" can be checked without the image; it owns its state and nothing else.
RUN install --directory --owner=64198 --group=64198 --mode=0700 /var/lib/dancerwatch /run/dancerwatch
USER 64198:64198
# As systemd would say them: where state is kept, and where the sign of life is.
ENV STATE_DIRECTORY=/var/lib/dancerwatch RUNTIME_DIRECTORY=/run/dancerwatch
VOLUME /var/lib/dancerwatch
# Every poll loop came round in the last 30 s. A controller or broker that is away is not the container's illness.
HEALTHCHECK --interval=30s --timeout=5s --start-period=15s CMD ["/usr/bin/dancerwatch", "alive"]
STOPSIGNAL SIGTERM
ENTRYPOINT ["/usr/bin/dancerwatch"]
CMD ["run", "--config", "/etc/dancerwatch/dancerwatch.jsonc"]
