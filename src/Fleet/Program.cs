return await Dancerwatch.Fleet.Commands.FleetCommandLine.RunAsync(args);
