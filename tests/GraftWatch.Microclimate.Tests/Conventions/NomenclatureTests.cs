using System.Reflection;
using System.Text.RegularExpressions;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Conventions;

public partial class NomenclatureTests
{
    [Fact]
    public void Public_numbers_end_in_the_token_of_their_unit_or_are_listed_without_one()
    {
        string[] tokens = [.. Cells(0)];
        string[] plain = [.. Cells(1)];
        var nameless = new SortedSet<string>(StringComparer.Ordinal);
        foreach (Type type in typeof(SkyHours).Assembly.GetExportedTypes())
        {
            foreach (string name in Names(type))
            {
                if (!tokens.Any(t => name.EndsWith(t, StringComparison.Ordinal) || name.Equals(t, StringComparison.OrdinalIgnoreCase))
                    && !plain.Any(p => IsNamed(name, p)))
                {
                    nameless.Add($"{type.Name}.{name}");
                }
            }
        }

        Assert.True(nameless.Count == 0, string.Join(Environment.NewLine, nameless));
        Assert.True(tokens.Length > 20 && plain.Length > 3);
    }

    private static IEnumerable<string> Names(Type type)
    {
        const BindingFlags own = BindingFlags.Public | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;
        foreach (PropertyInfo property in type.GetProperties(own).Where(p => IsNumber(p.PropertyType) && p.GetIndexParameters().Length == 0))
        {
            yield return property.Name;
        }

        foreach (FieldInfo field in type.GetFields(own).Where(f => IsNumber(f.FieldType)))
        {
            yield return field.Name;
        }

        foreach (MethodBase method in type.GetMethods(own).Cast<MethodBase>().Concat(type.GetConstructors(own)))
        {
            if (method.Name is "Deconstruct" or "op_Equality" || method.IsSpecialName && method is not ConstructorInfo)
            {
                continue;
            }

            foreach (ParameterInfo parameter in method.GetParameters().Where(p => IsNumber(p.ParameterType)))
            {
                yield return parameter.Name!;
            }
        }
    }

    private static bool IsNamed(string name, string word) =>
        name.Equals(word, StringComparison.OrdinalIgnoreCase) || (word.Length > 4 && name.EndsWith(word, StringComparison.OrdinalIgnoreCase));

    private static bool IsNumber(Type type) => type == typeof(double) || type == typeof(double[]);

    private static IEnumerable<string> Cells(int table)
    {
        string text = File.ReadAllText(Repository.PathOf("docs", "nomenclature.md"));
        string section = text.Split("\n## ")[table + 1];
        return section.Split('\n')
            .Where(l => l.StartsWith("| `", StringComparison.Ordinal))
            .SelectMany(l => Ticked().Matches(l.Split('|')[1]).Select(m => m.Groups[1].Value.TrimEnd('…')));
    }

    [GeneratedRegex("`([^`]+)`")]
    private static partial Regex Ticked();
}
