# The daemon in a container: docker build -t dancerwatch .
#   docker run --read-only --cap-drop ALL -v /etc/dancerwatch:/etc/dancerwatch:ro dancerwatch
# It needs to reach the controllers (TCP 44818) and the broker, and listens to nothing.
FROM mcr.microsoft.com/dotnet/sdk:10.0 AS build
WORKDIR /source
COPY . .
# CI: exactly the packages of the lock files, or no image.
RUN CI=true dotnet publish src/EdgeAgent --configuration Release --output /program

FROM mcr.microsoft.com/dotnet/runtime:10.0
COPY --from=build /program /opt/dancerwatch
# A number, so that "must not run as root" can be checked without the image; it owns nothing.
USER 64198:64198
ENV DOTNET_EnableDiagnostics=0
STOPSIGNAL SIGTERM
ENTRYPOINT ["/opt/dancerwatch/dancerwatch"]
CMD ["run", "--config", "/etc/dancerwatch/dancerwatch.jsonc"]
