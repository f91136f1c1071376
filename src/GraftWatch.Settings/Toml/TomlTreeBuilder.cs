using GraftWatch.Settings.Faults;
using Tomlyn.Syntax;

namespace GraftWatch.Settings.Toml;

/// <summary>Walks the parser's syntax tree into tables with lines. Broken parts are left out; the parser has reported them.</summary>
internal sealed class TomlTreeBuilder(FaultList faults)
{
    private const int DeepestPath = 12;

    internal TomlTable Build(DocumentSyntax document)
    {
        var root = new TomlTable(1, 1);
        foreach (KeyValueSyntax pair in document.KeyValues)
        {
            AddPair(root, pair);
        }

        foreach (TableSyntaxBase header in document.Tables)
        {
            if (Path(header.Name) is { Count: > 0 } path && OpenTable(root, path, header is TableArraySyntax) is { } table)
            {
                foreach (KeyValueSyntax pair in header.Items)
                {
                    AddPair(table, pair);
                }
            }
        }

        return root;
    }

    private static TomlTable? OpenTable(TomlTable root, List<Step> path, bool isArray)
    {
        TomlTable at = root;
        for (int i = 0; i < path.Count - 1; i++)
        {
            if (Descend(at, path[i]) is not { } next)
            {
                return null;
            }

            at = next;
        }

        Step last = path[^1];
        if (!isArray)
        {
            return Descend(at, last);
        }

        var table = new TomlTable(last.Line, last.Column);
        switch (at.Find(last.Key)?.Node)
        {
            case null:
                at.TryAdd(new TomlEntry(last.Key, new TomlList(new List<TomlNode> { table }, IsTables: true, last.Line, last.Column), last.Line, last.Column));
                return table;
            case TomlList { IsTables: true, Items: List<TomlNode> items }:
                items.Add(table);
                return table;
            default:
                return null;
        }
    }

    private static TomlTable? Descend(TomlTable at, Step step)
    {
        switch (at.Find(step.Key)?.Node)
        {
            case null:
                var made = new TomlTable(step.Line, step.Column);
                at.TryAdd(new TomlEntry(step.Key, made, step.Line, step.Column));
                return made;
            case TomlTable table:
                return table;
            case TomlList { IsTables: true, Items: [.., TomlTable last] }:
                return last;
            default:
                return null;
        }
    }

    private void AddPair(TomlTable table, KeyValueSyntax? pair)
    {
        if (pair is null || Path(pair.Key) is not { Count: > 0 } path || Node(pair.Value) is not { } node)
        {
            return;
        }

        TomlTable at = table;
        for (int i = 0; i < path.Count - 1; i++)
        {
            if (Descend(at, path[i]) is not { } next)
            {
                return;
            }

            at = next;
        }

        at.TryAdd(new TomlEntry(path[^1].Key, node, path[^1].Line, path[^1].Column));
    }

    private TomlNode? Node(ValueSyntax? value)
    {
        if (value is null)
        {
            return null;
        }

        int line = value.Span.Start.Line + 1;
        int column = value.Span.Start.Column + 1;
        return value switch
        {
            StringValueSyntax text => new TomlText(text.Value ?? string.Empty, line, column),
            IntegerValueSyntax integer => new TomlNumber(integer.Value, IsInteger: true, line, column),
            FloatValueSyntax number => new TomlNumber(number.Value, IsInteger: false, line, column),
            BooleanValueSyntax flag => new TomlFlag(flag.Value, line, column),
            DateTimeValueSyntax => new TomlDate(line, column),
            ArraySyntax list => new TomlList(list.Items.Select(i => Node(i.Value)).OfType<TomlNode>().ToList(), IsTables: false, line, column),
            InlineTableSyntax inline => Inline(inline, line, column),
            _ => null,
        };
    }

    private TomlTable Inline(InlineTableSyntax inline, int line, int column)
    {
        var table = new TomlTable(line, column);
        foreach (InlineTableItemSyntax item in inline.Items)
        {
            AddPair(table, item.KeyValue);
        }

        return table;
    }

    private List<Step>? Path(KeySyntax? key)
    {
        if (key?.Key is null)
        {
            return null;
        }

        var steps = new List<Step>();
        Append(key.Key, steps);
        foreach (DottedKeyItemSyntax dotted in key.DotKeys)
        {
            Append(dotted.Key, steps);
            if (steps.Count > DeepestPath)
            {
                Step first = steps[0];
                faults.Add(first.Line, first.Column, string.Empty, $"A key has more than {DeepestPath} parts between points.", "No setting lies so deep.");
                return null;
            }
        }

        return steps;
    }

    private static void Append(BareKeyOrStringValueSyntax? part, List<Step> steps)
    {
        string? name = part switch
        {
            BareKeySyntax bare => bare.Key?.Text,
            StringValueSyntax quoted => quoted.Value,
            _ => null,
        };
        if (name is not null)
        {
            steps.Add(new Step(name, part!.Span.Start.Line + 1, part.Span.Start.Column + 1));
        }
    }

    private readonly record struct Step(string Key, int Line, int Column);
}
