return await Dancerwatch.EdgeAgent.Commands.CommandLine.RunAsync(args);
