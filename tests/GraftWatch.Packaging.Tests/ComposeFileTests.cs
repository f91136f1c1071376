using GraftWatch.Testing;
using YamlDotNet.RepresentationModel;

namespace GraftWatch.Packaging.Tests;

/// <summary>The compose file for a region. It is not run: it is read as YAML, and what must hold of it is held.</summary>
public sealed class ComposeFileTests
{
    [Fact]
    public void Every_name_it_uses_is_declared_and_every_daemon_is_locked_down()
    {
        YamlMappingNode root = Read();
        YamlMappingNode services = At(root, "services");
        foreach ((YamlNode name, YamlNode service) in services.Children)
        {
            var of = (YamlMappingNode)service;
            Declared(of, "secrets", At(root, "secrets"));
            Declared(of, "networks", At(root, "networks"));
            if (of.Children.TryGetValue("depends_on", out YamlNode? needs))
            {
                Assert.All(((YamlMappingNode)needs).Children.Keys, key => Assert.True(services.Children.ContainsKey(key), $"{name} depends on {key}"));
            }
        }

        YamlMappingNode daemon = At(services, "graftwatch");
        Assert.Equal("1654:1654", Text(daemon, "user"));
        Assert.Equal("true", Text(daemon, "read_only"));
        Assert.Equal(["ALL"], ((YamlSequenceNode)daemon["cap_drop"]).Select(node => node.ToString()));
        Assert.Equal($"graftwatch:{Dist.Version}", Text(daemon, "image"));
        Assert.Equal("/run/secrets", Text(At(daemon, "environment"), "CREDENTIALS_DIRECTORY"));
        Assert.Contains("./config:/etc/graftwatch:ro", ((YamlSequenceNode)daemon["volumes"]).Select(node => node.ToString()));
    }

    [Fact]
    public void Its_secrets_have_the_names_the_program_looks_for()
    {
        string code = string.Concat(Directory.EnumerateFiles(Repository.PathOf("src", "GraftWatch.Settings", "Secrets"), "*.cs").Select(File.ReadAllText));
        Assert.All(At(Read(), "secrets").Children.Keys, name => Assert.Contains($"\"{name}\"", code, StringComparison.Ordinal));
    }

    [Fact]
    public void The_database_is_reached_from_inside_only()
    {
        YamlMappingNode root = Read();
        YamlMappingNode store = At(At(root, "services"), "store");
        Assert.False(store.Children.ContainsKey("ports"));
        Assert.Equal(["inside"], ((YamlSequenceNode)store["networks"]).Select(node => node.ToString()));
        Assert.Equal("true", Text(At(At(root, "networks"), "inside"), "internal"));
    }

    private static YamlMappingNode Read()
    {
        using StreamReader reader = File.OpenText(Repository.PathOf("deploy", "compose.yaml"));
        var yaml = new YamlStream();
        yaml.Load(reader);
        return (YamlMappingNode)Assert.Single(yaml.Documents).RootNode;
    }

    private static void Declared(YamlMappingNode service, string kind, YamlMappingNode declared)
    {
        if (service.Children.TryGetValue(kind, out YamlNode? used))
        {
            Assert.All((YamlSequenceNode)used, name => Assert.True(declared.Children.ContainsKey(name), $"{kind}: {name}"));
        }
    }

    private static YamlMappingNode At(YamlMappingNode node, string key) => (YamlMappingNode)node[key];

    private static string Text(YamlMappingNode node, string key) => node[key].ToString();
}
