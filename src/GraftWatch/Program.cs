using System.Text;
using GraftWatch.CommandLine;

Console.OutputEncoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false);
return await GraftWatchCommand.RunAsync(args, Terminal.OfProcess(), CancellationToken.None);
