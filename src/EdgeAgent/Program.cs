return Dancerwatch.EdgeAgent.Commands.CommandLine.Run(args);
